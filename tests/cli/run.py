#!/usr/bin/env python3
"""Runs the tests of the command line, all or those named.

  STEERBENCH=build/release/src/cli/steerbench tests/cli/run.py [test_set.Set.test_keeps_comments]
"""

import pathlib
import sys
import unittest

HERE = pathlib.Path(__file__).resolve().parent
sys.dont_write_bytecode = True
sys.path.insert(0, str(HERE))

if __name__ == "__main__":
    if len(sys.argv) > 1:
        unittest.main(module=None)
    suite = unittest.defaultTestLoader.discover(str(HERE))
    sys.exit(0 if unittest.TextTestRunner().run(suite).wasSuccessful() else 1)
