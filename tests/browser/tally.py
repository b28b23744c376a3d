"""Counts checks, and tells of those that fail."""


class Tally:
    """How many checks were right and wrong so far."""

    def __init__(self):
        self.passed = self.failed = 0

    def add(self, name, check):
        """Runs a check, which gives the list of what is wrong."""
        try:
            wrong = check()
        except OSError as error:
            wrong = [str(error)]
        if not wrong:
            self.passed += 1
            return
        self.failed += 1
        for fact in wrong[:5]:
            print(f"FAILED {name}: {fact}")
        if len(wrong) > 5:
            print(f"FAILED {name}: and {len(wrong) - 5} more")
