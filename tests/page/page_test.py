# SPDX-License-Identifier: Apache-2.0
"""Checks the page of `leanside report` in a browser: on a large screen, on a phone and on paper.

    python3 tests/page/page_test.py PROGRAM SOURCE_FOLDER

Pages are compared with the output of `leanside check --format json` for the same site, by structure and by numbers
read back from the plots, not pixel by pixel. LEANSIDE_PAGE_PICTURES=FOLDER saves screenshots there.
"""
import json
import os
import re
import subprocess
import sys
import tempfile
import time
import unittest
import xml.etree.ElementTree

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import sites  # noqa: E402
from webdriver import Browser  # noqa: E402

PROGRAM, SOURCE = sys.argv[1], sys.argv[2]
EXAMPLES = sorted(name[:-5] for name in os.listdir(os.path.join(SOURCE, "examples")) if name.endswith(".toml"))
SHOWN_IN_FULL = 100


def leanside(*arguments):
    done = subprocess.run([PROGRAM, *arguments], stdin=subprocess.DEVNULL, capture_output=True, timeout=300)
    if done.returncode not in (0, 1):
        raise RuntimeError("leanside %s: %d: %s" % (arguments, done.returncode, done.stderr.decode()[:2000]))
    return done.stdout.decode()


class Page(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory(prefix="leanside-pages-")
        cls.browser = Browser()
        with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "look.js")) as script:
            cls.look = script.read()

    @classmethod
    def tearDownClass(cls):
        cls.browser.close()
        cls.folder.cleanup()

    def ask(self, expression, *arguments):
        return self.browser.run(self.look + "\nreturn (" + expression + ");", *arguments)

    def make(self, name, text=None):
        """Makes and opens the page of a site. Returns the answer for the site from JSON."""
        site = os.path.join(SOURCE, "examples", name + ".toml")
        if text is not None:
            site = os.path.join(self.folder.name, name + ".toml")
            with open(site, "w", encoding="utf-8") as out:
                out.write(text)
        self.page = os.path.join(self.folder.name, name + ".html")
        leanside("report", "--quiet", site, "-o", self.page)
        self.browser.media("screen")
        self.browser.size(1280, 900)
        self.browser.open(self.page)
        return json.loads(leanside("check", "--quiet", site, "--format", "json"))["answer"]

    def keep(self, name):
        folder = os.environ.get("LEANSIDE_PAGE_PICTURES")
        if folder:
            self.browser.picture(os.path.join(folder, name + ".png"))

    def check_sound(self, warnings):
        """Properties of every page: no console messages, sound structure, working links, nothing loaded from elsewhere."""
        self.assertEqual(self.browser.console(), [])
        found = self.ask("structure()")
        self.assertEqual(found["lang"], "en")
        self.assertEqual(found["levels"].count(1), 1)
        self.assertFalse(found["skipped"], found["levels"])
        self.assertEqual(found["doubled"], [])
        self.assertEqual(found["dead"], [])
        self.assertEqual(found["landmarks"], [1, 1, 1, 1])
        self.assertEqual((found["nameless"], found["headless"]), (0, 0))
        self.assertEqual(found["fetched"], [])
        self.assertEqual((found["scripts"], found["hit"]), (0, 0))
        with open(self.page, encoding="utf-8") as page:
            self.assertIsNone(re.search(r"(src|href)\s*=\s*[\"']?(?!data:|#)[a-z]+:|@import|url\((?!#)", page.read()))
        self.assertEqual(self.ask("document.querySelectorAll('ol.ranked li').length"), len(warnings))

    def check_width(self):
        for width, phone in ((1280, False), (360, True)):
            self.browser.size(width, 800, phone)
            found = self.ask("width()")
            self.assertEqual(found["out"], [], width)
            self.assertEqual((found["room"], found["page"]), (width, width))
        self.browser.size(1280, 900)

    def check_warnings(self, answer):
        shown = self.ask("[...document.querySelectorAll('ol.ranked li')].map(e => e.textContent.trim())")
        for line, warning in zip(shown, answer["warnings"]):
            self.assertTrue(line.startswith(str(warning["rank"])), line)
            self.assertIn(warning["severity"].upper(), line)
        told = self.ask("[...document.querySelectorAll('article.warning')].map(e => e.innerText)")
        self.assertEqual(len(told), min(SHOWN_IN_FULL, len(answer["warnings"])))
        for text, warning in zip(told, answer["warnings"]):
            if "The same as number" in text:
                continue
            where, _, what = warning["summary"].partition(": ")
            self.assertIn(" ".join(warning["remedy"].split()), " ".join(text.split()))
            self.assertIn(" ".join(what.split())[1:], " ".join(text.split()))

    def check_plots(self, answer):
        """The highest point of each plot of a flammable gas is the peak in JSON, and no texts overlap."""
        peaks = {}
        for case in answer["cases"]:
            for space in case["spaces"]:
                peaks[case["id"], space["id"]] = 100 * space["peak"]["lfl_fraction"]
        count = 0
        for warning in answer["warnings"][:SHOWN_IN_FULL]:
            plots = self.ask("[...document.querySelectorAll(arguments[0] + ' svg.plot')].map(readPlot)",
                             "#w%d" % warning["rank"])
            for plot in plots:
                count += 1
                self.assertGreaterEqual(len(plot["points"]), 2, plot["label"])
                self.assertGreaterEqual(min(plot["yTicks"], plot["xTicks"]), 3, plot["label"])
                times = [point[0] for point in plot["points"]]
                self.assertEqual(times, sorted(times), plot["label"])
                if "oxygen" in warning:  # a warning of oxygen, or a note that the air is not fit to breathe
                    self.assertTrue(plot["label"].startswith("Oxygen in "), plot["label"])
                    continue
                peak = peaks[warning["case"], warning["space"]]
                highest = max(point[1] for point in plot["points"])
                # Allows a tenth of a pixel in about thirty per tick, and uneven ticks where the scale changes.
                self.assertAlmostEqual(highest, peak, delta=max(0.02 * peak, 0.05 * plot["step"]), msg=plot["label"])
            for row in plots and self.ask("[...document.querySelectorAll(arguments[0])].map(overlaps)",
                                          "#w%d svg.plot" % warning["rank"]):
                self.assertEqual(row, [])
        return count

    def check_switch(self, cases):
        seen = "[...document.querySelectorAll('.picture')].filter(visible).map(e => e.id)"
        if cases == 1:
            self.assertEqual(self.ask(seen), ["picture-0"])
            return
        self.assertEqual(self.ask(seen), ["picture-0"])
        for c in reversed(range(cases)):
            self.browser.click("label[for=case-%d]" % c)
            self.assertEqual(self.ask(seen), ["picture-%d" % c])
        self.browser.keys("\ue015")  # arrow down
        self.assertEqual(self.ask(seen), ["picture-1"])

    def check_paper(self, cases):
        self.browser.media("print")
        self.browser.size(690, 970)
        self.assertEqual(self.ask("[...document.querySelectorAll('.picture')].filter(e => !visible(e)).length"), 0)
        self.assertEqual(self.ask("[...document.querySelectorAll('table,article,li,figure,p')].filter(e => !e.closest('nav') && "
                                  "e.getBoundingClientRect().height < 2).map(e => e.outerHTML.slice(0, 90))"), [])
        pdf = self.browser.pdf()
        self.browser.media("screen")
        self.assertTrue(pdf.startswith(b"%PDF-"))
        self.assertGreaterEqual(len(re.findall(rb"/Type\s*/Page\b", pdf)), 1 + cases)

    def test_pages_of_examples_match_json(self):
        plots = 0
        for name in EXAMPLES:
            with self.subTest(example=name):
                answer = self.make(name)
                self.check_sound(answer["warnings"])
                self.check_width()
                self.check_warnings(answer)
                plots += self.check_plots(answer)
                pictures = self.ask("document.querySelectorAll('svg.site').length")
                self.assertEqual(pictures, len(answer["cases"]))
                self.check_switch(pictures)
                self.check_paper(pictures)
                self.assertGreaterEqual(self.ask("worstContrast()")["ratio"], 4.5, self.ask("worstContrast()"))
                self.keep(name)
        self.assertGreaterEqual(plots, 10)

    def test_pictures_show_every_space_and_flow(self):
        """Every space, flow and name is in the picture, no texts overlap, and texts stay in their boxes."""
        for name in ("school-prep-room", "cylinder-store", "hydrogen-bottle", "winter-stair"):
            with self.subTest(example=name):
                answer = self.make(name)
                spaces = len(answer["cases"][0]["spaces"])
                self.assertEqual(self.ask("document.querySelectorAll('#picture-0 .box').length"), spaces)
                self.assertGreaterEqual(self.ask("document.querySelectorAll('#picture-0 .way').length"),
                                        len(answer["cases"][0]["airways"]))
                self.assertEqual(self.ask("overlaps(document.querySelector('#picture-0 svg'))"), [])
                self.assertEqual(self.ask(
                    "[...document.querySelectorAll('#picture-0 .box')].flatMap(g => { const w = "
                    "g.querySelector('.wall').getBBox(); return [...g.querySelectorAll('text')].filter(t => { const b = "
                    "t.getBBox(); return b.x < w.x || b.x + b.width > w.x + w.width || b.y + b.height > w.y + w.height + 2; "
                    "}).map(t => t.textContent); })"), [])

    def test_focus_shows_values(self):
        answer = self.make("school-prep-room")
        shown = ("[...document.querySelectorAll('#w1 .key')].map(k => getComputedStyle(k.querySelector('text')).visibility"
                 " + ' ' + k.getAttribute('aria-label'))")
        self.assertTrue(all(line.startswith("hidden") for line in self.ask(shown)))
        self.ask("document.querySelector('#w1 .key').focus()")
        first = self.ask(shown)[0]
        self.assertTrue(first.startswith("visible"), first)
        warning = answer["warnings"][0]
        case = next(c for c in answer["cases"] if c["id"] == warning["case"])
        space = next(s for s in case["spaces"] if s["id"] == warning["space"])
        passes = next(c["up_s"] for c in space["crossings"] if c["threshold"] == "note")
        self.assertIn("%d min %d s: passes 10 %%" % divmod(round(passes), 60), first)

    def test_hostile_text_stays_text(self):
        answer = self.make("hostile", sites.hostile())
        self.check_sound(answer["warnings"])
        self.check_width()
        self.check_plots(answer)
        self.check_switch(len(answer["cases"]))
        self.check_paper(len(answer["cases"]))
        self.keep("hostile")
        title = self.ask("document.querySelector('h1').textContent")
        self.assertTrue(title.startswith(sites.MARKUP), title[:200])
        everything = self.ask("document.body.textContent")
        self.assertIsNone(re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b\u202a-\u202e\u2066-\u2069]", everything))
        self.assertIn(sites.RIGHT_TO_LEFT, everything)
        self.assertIn("t" * 10000, everything)

    def test_large_page_opens_quickly(self):
        answer = self.make("large", sites.large())
        start = time.monotonic()
        self.browser.open(self.page)
        self.assertEqual(self.ask("document.querySelectorAll('#picture-0 .box').length"), 1000)
        # It takes about a second; the limit allows for a busy machine.
        self.assertLess(time.monotonic() - start, 20)
        self.assertLess(os.path.getsize(self.page), 5_000_000)
        self.check_sound(answer["warnings"])
        self.check_width()
        self.assertGreater(len(answer["warnings"]), 20)
        self.keep("large")

    def test_page_without_warnings_claims_no_safety(self):
        text = 'title = "Quiet"\n[[space]]\nid = "hall"\nkind = "room"\nvolume = "100 m3"\nair_changes = "1 /h"\n'
        answer = self.make("quiet", text)
        self.assertEqual(answer["warnings"], [])
        self.check_sound([])
        self.check_width()
        self.assertIn("no proof of safety", self.ask("document.getElementById('verdict').innerText"))
        self.assertIn("does not replace local codes", self.ask("document.getElementById('verdict').innerText"))

    def test_draw_writes_sound_pictures(self):
        for name in EXAMPLES:
            drawn = leanside("draw", "--quiet", os.path.join(SOURCE, "examples", name + ".toml"))
            self.assertTrue(xml.etree.ElementTree.fromstring(drawn).tag.endswith("svg"))
        hostile = os.path.join(self.folder.name, "hostile.toml")
        with open(hostile, "w", encoding="utf-8") as out:
            out.write(sites.hostile())
        picture = os.path.join(self.folder.name, "hostile.svg")
        leanside("draw", "--quiet", hostile, "--case", "x", "-o", picture)
        self.assertTrue(xml.etree.ElementTree.parse(picture).getroot().tag.endswith("svg"))
        self.browser.open(picture)
        self.assertEqual(self.browser.console(), [])
        self.assertEqual(self.browser.run("return [document.querySelectorAll('.box').length, window.hit === undefined]"),
                         [3, True])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
