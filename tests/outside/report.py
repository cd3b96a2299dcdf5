"""What a check found."""


class Report:
    """Counts what was confirmed, and remembers what was not."""

    def __init__(self):
        self.passed = 0
        self.failed = []

    def check(self, holds, what):
        if holds:
            self.passed += 1
        else:
            self.failed.append(what)
