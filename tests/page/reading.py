# SPDX-License-Identifier: Apache-2.0
"""What a reader of a page stumbles over: things cut, told twice, far from their words, or in the wrong measure."""
import paper


class Reading:
    """Checks of a page that is open in `self.browser`; a part of the test case in page_test.py."""

    def check_plain(self, answer):
        self.assertEqual(self.ask("repeated()"), {"curves": [], "spaces": []})
        self.assertEqual(self.ask("shortened()"), [])
        self.assertEqual(self.ask("flamesInRooms()"), [])
        noticed = self.ask("[...document.querySelectorAll('#taken > ul > li')].map(e => e.textContent)")
        for text in noticed:
            self.assertNotRegex(text, r"/|notice:")
        tails = [text.split("': ")[-1] for text in noticed]
        self.assertEqual(len(tails), len(set(tails)))
        reach = self.ask("[...document.querySelectorAll('#inventory td[data-head^=ignitable]')].map(e => e.textContent)")
        self.assertNotIn("0", reach)
        if not any(case["airways"] for case in answer["cases"]):
            self.assertNotIn("too many airways", self.ask("document.getElementById('air').textContent"))
        for k, finding in enumerate(answer["findings"]):
            warning = answer["warnings"][finding["warnings"][0] - 1]
            steps = self.ask("[...document.querySelectorAll(arguments[0])].map(e => e.innerText)", "#f%d .steps" % (k + 1))
            views = self.ask("[...document.querySelectorAll(arguments[0])].map(e => e.innerText)",
                             "#f%d .view figcaption" % (k + 1))
            if warning["severity"] in ("oxygen", "pressure"):
                self.assertNotIn("lower limit", " ".join(steps + views))

    def check_side_pictures(self):
        """On the first side of paper: the words of a picture stand right below it, and its letters can be read."""
        for picture in self.ask("firstPictures()"):
            self.assertLess(abs(picture["gap"]), 8, picture)
            self.assertGreater(picture["text"], 7, picture)  # CSS px, of which A4 has 690 across

    def check_sheets(self, pdf):
        """No sheet with next to nothing, and none half of which is empty beside the other half."""
        # A picture that does not shrink pushes its caption into the text below.
        self.assertEqual(paper.printed_over(paper.sheets(pdf)[0])[:2], [])
        for k, places in enumerate(paper.sheets(pdf)):
            self.assertGreater(paper.filled(places), 0.12, "sheet %d" % (k + 1))
            self.assertLess(paper.one_sided(places), 290, "sheet %d" % (k + 1))
