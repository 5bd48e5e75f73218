"""Officials with a phone at the pit, as they use it: by what stands on the buttons."""

CALM = "z"  # The key of 0.0, which needs no OK.
GHOST_MS = 430  # Longer than a second tap is ignored.


class Phone:
    """A phone at the pit as an official uses it: by what stands on the buttons."""

    def __init__(self, page, stub=None):
        self.page, self.stub, self.taps = page, stub, 0

    def tap(self, where):
        self.page.wait_for_timeout(GHOST_MS)
        self.page.locator(where).first.tap()
        self.taps += 1
        return self

    def press(self, words):
        return self.tap(f"#screen button:has-text('{words}')")

    def keys(self, keys):
        self.page.wait_for_timeout(GHOST_MS)
        for key in keys:
            self.page.locator(f"#screen [data-key='{key}']").tap()
            self.taps += 1
        return self

    def ok(self):
        return self.keys(["enter"])

    def confirm(self):
        return self.tap("#screen .confirm")

    def white(self, digits, wind=None):
        """A measured trial up to the read-back."""
        self.tap("[data-key=w]").keys(digits).ok()
        if wind:
            self.keys(wind)
        if wind not in (None, CALM):
            self.ok()
        return self

    def type(self, keys):
        """By the keys of a keyboard."""
        for key in keys:
            self.page.keyboard.press("Enter" if key == "e" else key)
        return self

    def home(self):
        return self.tap("#screen .phone-home")

    def write(self, label, text):
        self.page.locator(f"label:has-text('{label}') input").fill(text)
        return self

    def sees(self, words, where="#screen"):
        self.page.locator(where).filter(has_text=words).first.wait_for()
        return self

    @property
    def text(self):
        return self.page.inner_text("#screen")

    @property
    def bib(self):
        return self.page.inner_text(".pit-bib")

    @property
    def step(self):
        return self.page.locator(".pit-now").get_attribute("data-at")

    def sent(self, n):
        """The entries, once there are so many: kind, values, reason, what they replace."""
        for _ in range(200):
            if len(self.stub.entries) >= n:
                break
            self.page.wait_for_timeout(50)
        entries = sorted(self.stub.entries.values(), key=lambda entry: entry["seq"])
        return [(e["kind"], e["values"], e["reason"], e["supersedes"]) for e in entries]
