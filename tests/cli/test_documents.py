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

    def test_typo_in_key(self):
        self.assert_complaint(
            self.broken("wheelbase =", "wheelbse ="), "9:1", "car.wheelbse", "did you mean 'wheelbase'?"
        )

    def test_wrong_dimension(self):
        self.assert_complaint(
            self.broken("2380 ± 5 mm", "2380 ± 5 kg"), "9:23",
            "car.wheelbase", '"kg"', "a unit of mass", "Expected a length",
        )  # fmt: skip

    def test_decimal_comma(self):
        self.assert_complaint(
            self.broken("2380 ± 5 mm", "2,38 m"), "9:14", "car.wheelbase", '"2,38 m"', "comma", "write 1.5"
        )

    def test_missing_unit(self):
        self.assert_complaint(
            self.broken("130 ± 1 mm", "130"), "54:11", "rack.fitted.travel", '"130"', "the unit is missing"
        )

    def test_bare_number(self):
        self.assert_complaint(
            self.broken('"130 ± 1 mm"', "130"), "54:10", "rack.fitted.travel", "unit", '"117.5 mm"'
        )

    def test_missing_quote(self):
        self.assert_complaint(
            self.broken('"2380 ± 5 mm"', '"2380 ± 5 mm'), "9:13", "the closing quote", "is missing"
        )

    def test_unknown_part(self):
        self.assert_complaint(
            self.broken('rack = "fitted"', 'rack = "fited"'), "61:8",
            "setup.now.rack", "rack.fited", "did you mean 'fitted'?",
        )  # fmt: skip

    def test_duplicate_key(self):
        twice = 'wheelbase = "2380 ± 5 mm"\n'
        self.assert_complaint(
            self.broken(twice, twice + twice), "10:13", "'wheelbase'", "only once", "first on line 9"
        )

    def test_duplicate_part(self):
        self.assert_complaint(
            self.broken("[rack.quicker]", "[rack.fitted]"), "56:1", "'rack.fitted'", "first on line 51"
        )

    def test_negative_travel(self):
        self.assert_complaint(
            self.broken("130 ± 1 mm", "-130 ± 1 mm"), "54:10", "rack.fitted.travel", "greater than zero"
        )

    def test_point_with_two_coordinates(self):
        self.assert_complaint(
            self.broken("(85, 400, 440)", "(85, 400)", TERN), "89:23",
            "car.front.left.upper_pivot_front", '"85, 400"', "three numbers", "Expected a point",
        )  # fmt: skip

    def test_every_problem_is_told_at_once(self):
        text = self.broken("wheelbase =", "wheelbse =").replace("130 ± 2 mm", "130 ± 2 lb")
        said = self.complaint(text)
        self.assert_mentions(said, "car.toml:9:1:", "car.toml:58:", "2 problems;")

    def test_empty(self):
        self.assert_complaint("", "1:1", "format", "format = 1")

    def test_binary(self):
        self.assert_complaint(b"\x7fELF\x01\x02\x00\x00\xff\xfe\x80", "1:8", "UTF-8")

    def test_latin_1(self):
        self.assert_complaint(VAN.read_text().encode("latin-1"), "9:18", "save the file as UTF-8")

    def test_utf_16(self):
        self.assert_complaint(VAN.read_text().encode("utf-16"), "1:1", "save the file as UTF-8")

    def test_nul_bytes(self):
        self.assert_complaint(self.broken('"light van"', '"light\0van"'), "8:14", "control character")
        self.assertNotIn("\0", self.complaint("format = 1\0\n"))

    def test_too_large(self):
        self.assert_mentions(self.complaint(b"#" * (17 << 20)), "car.toml", "larger than the 16 MiB")

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
