"""What the tests of sweeps by Python share: the small plan, done once by the program, and the comparison with it."""

import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

try:
    from same_sweep import differences
except ModuleNotFoundError as error:  # h5py
    print(f"skipped: {error}")
    sys.exit(77)

SOURCE = Path(os.environ["TQ_SOURCE"])
PROGRAM = os.environ["THINQUENCH"]
PLAN = SOURCE / "tests/engines/plan.toml"


class AgainstOneRun(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.folder.cleanup)
        cls.place = Path(cls.folder.name)
        cls.one = cls.place / "one.h5"
        subprocess.run([PROGRAM, "sweep", PLAN, "-o", cls.one, "--quiet"], check=True)

    def assert_same(self, result):
        found, compared = differences(self.one, result)
        self.assertEqual(found, [])
        self.assertGreater(compared, 10)
