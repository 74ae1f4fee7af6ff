"""Files that cannot be used: what is said of them, and that nothing is computed or changed."""

from bench import TERN, VAN, Case


class WrongFiles(Case):
    def broken(self, old, new, source=VAN):
        text = source.read_text()
        self.assertEqual(text.count(old), 1, old)
        return text.replace(old, new)

    def complaint(self, content):
        """What `check` says of a file. The same must be said by all verbs that read one."""
        path = self.write("car.toml", content)
        before = self.files()
        said = self.refused("check", "car.toml")
        for verb in (["compare"], ["sweep"], ["form"]):
            self.assertEqual(self.refused(*verb, path.name), said)
        self.assertEqual(self.files(), before)
        return said

    def assert_complaint(self, content, place, *wanted):
        """`place` is line:column as an editor counts them; `wanted`: field, found, expected."""
        said = self.complaint(content)
        self.assertTrue(said.startswith(f"car.toml:{place}: "), said)
        self.assert_mentions(said, *wanted)
        self.assertIn("1 problem; nothing was computed and nothing was changed\n", said)

    def assert_slip(self, old, new, at, *wanted, source=VAN):
        """A complaint of one slip, made by writing `new` for `old`, at where `at` stands in it."""
        text = self.broken(old, new, source)
        offset = source.read_text().index(old) + new.rindex(at)
        line_begin = text.rfind("\n", 0, offset) + 1
        place = f"{text.count(chr(10), 0, offset) + 1}:{offset - line_begin + 1}"
        self.assert_complaint(text, place, *wanted)

    def test_typo_in_key(self):
        wanted = ("car.wheelbse", "unknown key", "did you mean 'wheelbase'?")
        self.assert_slip("wheelbase =", "wheelbse =", "wheelbse", *wanted)

    def test_wrong_dimension(self):
        wanted = ("car.wheelbase", '"kg"', "a unit of mass", "Expected a length")
        self.assert_slip("2380 ± 5 mm", "2380 ± 5 kg", "kg", *wanted)

    def test_decimal_comma(self):
        wanted = ("car.wheelbase", '"2,38 m"', "comma", "write 1.5")
        self.assert_slip("2380 ± 5 mm", "2,38 m", "2,38 m", *wanted)

    def test_missing_unit(self):
        wanted = ("rack.fitted.travel", '"130"', "the unit is missing", "Expected a length")
        self.assert_slip('"130 ± 1 mm"', '"130"', "130", *wanted)

    def test_bare_number(self):
        wanted = ("rack.fitted.travel", "unit", '"117.5 mm"')
        self.assert_slip('"130 ± 1 mm"', "130", "130", *wanted)

    def test_missing_quote(self):
        wanted = ("the closing quote", "is missing")
        self.assert_slip('"2380 ± 5 mm"', '"2380 ± 5 mm', '"', *wanted)

    def test_unknown_part(self):
        wanted = ("setup.now.rack", "rack.fited", "did you mean 'fitted'?")
        self.assert_slip('rack = "fitted"', 'rack = "fited"', '"fited', *wanted)

    def test_duplicate_key(self):
        line = 'wheelbase = "2380 ± 5 mm"\n'
        wanted = ("'wheelbase'", "only once", "first on line")
        self.assert_slip(line, line + line, '"2380', *wanted)

    def test_duplicate_part(self):
        wanted = ("'rack.fitted'", "only once", "first on line")
        self.assert_slip("[rack.quicker]\n", "[rack.fitted]\nowned = true\n", "[rack", *wanted)

    def test_negative_travel(self):
        wanted = ("rack.fitted.travel", "greater than zero")
        self.assert_slip('"130 ± 1 mm"', '"-130 ± 1 mm"', '"-130', *wanted)

    def test_point_with_two_coordinates(self):
        wanted = (
            "car.front.left.upper_pivot_front",
            '"85, 400"',
            "three numbers",
            "2 found",
            "Expected a point",
        )
        self.assert_slip("(85, 400, 440)", "(85, 400)", "85", *wanted, source=TERN)

    def test_every_problem_is_told_at_once(self):
        text = self.broken("wheelbase =", "wheelbse =").replace("130 ± 2 mm", "130 ± 2 lb")
        said = self.complaint(text)
        self.assert_mentions(said, "car.wheelbse", "rack.quicker.travel", "2 problems;")
        self.assertLess(said.index("car.wheelbse"), said.index("rack.quicker"))

    def test_empty(self):
        self.assert_complaint("", "1:1", "format", "format = 1")

    def test_binary(self):
        self.assert_complaint(b"\x7fELF\x01\x02\x00\x00\xff\xfe\x80", "1:8", "UTF-8")

    def test_latin_1(self):
        # The first byte that is not ASCII is the ± of the wheelbase.
        text = VAN.read_text()
        line = text[: text.index("±")].count("\n") + 1
        said = self.complaint(text.encode("latin-1"))
        self.assert_mentions(said, f"car.toml:{line}:", "save the file as UTF-8")

    def test_utf_16(self):
        self.assert_complaint(VAN.read_text().encode("utf-16"), "1:1", "save the file as UTF-8")

    def test_nul_bytes(self):
        self.assert_slip('"light van"', '"light\0van"', "\0", "control character")
        self.assertNotIn("\0", self.complaint("format = 1\0\n"))

    def test_too_large(self):
        said = self.complaint(b"#" * (17 << 20))
        self.assert_mentions(said, "car.toml", "larger than the 16 MiB")

    def test_too_large_on_standard_input(self):
        self.assertIn("larger than", self.refused("check", "-", stdin=b"#" * (17 << 20)))

    def test_directory(self):
        (self.here / "garage").mkdir()
        self.assertIn("garage: Is a directory", self.refused("check", "garage"))

    def test_missing_file(self):
        self.assertIn("nope.toml: No such file", self.refused("check", "nope.toml"))

    def test_no_setup(self):
        self.write("car.toml", "format = 1\n")
        self.assert_mentions(self.refused("check", "car.toml"), "car.toml", "[setup.NAME]")

    def test_json_is_placed_as_well(self):
        text = self.good("form", VAN, "--json").replace("2380 ± 5 mm", "2380 ± 5 kg")
        line = 1 + text[: text.index("5 kg")].count("\n")
        said = self.complaint(text)
        self.assertTrue(said.startswith(f"car.toml:{line}:"), said)
        self.assert_mentions(said, "car.wheelbase", "a unit of mass")

    def test_escape_codes_in_what_was_found_are_not_passed_on(self):
        said = self.complaint(self.broken('rack = "fitted"', 'rack = "fit\\u001b[31mted"'))
        self.assertNotIn("\x1b", said)


class Sources(Case):
    def test_standard_input(self):
        text = VAN.read_bytes()
        for verb in ("check", "compare", "sweep", "form"):
            self.assertEqual(self.good(verb, "-", stdin=text), self.good(verb, VAN), verb)

    def test_both_forms_say_the_same(self):
        self.write("car.json", self.good("form", TERN, "--json"))
        self.write("car.toml", self.good("form", TERN))
        want = self.good("check", TERN, "--setup", "calm")
        self.assertEqual(self.good("check", "car.json", "--setup", "calm"), want)
        self.assertEqual(self.good("check", "car.toml", "--setup", "calm"), want)

    def test_marks_and_line_ends_of_other_editors(self):
        want = self.good("check", VAN)
        text = VAN.read_text()
        self.assertEqual(self.good("check", "-", stdin="\ufeff" + text), want)
        self.assertEqual(self.good("check", "-", stdin=text.replace("\n", "\r\n")), want)
