"""A sweep on Dask: the same as one run of the program, with a worker killed under way and after a stop."""

import os
import signal
import sys
import unittest
from pathlib import Path

from against_one_run import PLAN, SOURCE, AgainstOneRun

try:
    from dask.distributed import Client, LocalCluster
except ModuleNotFoundError as error:
    print(f"skipped: {error}")
    sys.exit(77)


class OnDask(AgainstOneRun):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        # the workers find the functions of the example by this name
        (cls.place / "sweep_dask.py").write_text((SOURCE / "scripts/sweep-dask").read_text())
        os.environ["PYTHONPATH"] = f"{cls.place}:{os.environ['PYTHONPATH']}"
        sys.path.insert(0, str(cls.place))
        import sweep_dask

        cls.sweep = staticmethod(sweep_dask.sweep)
        cls.cluster = LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
        cls.client = Client(cls.cluster)

    @classmethod
    def tearDownClass(cls):
        cls.client.close()
        cls.cluster.close()

    def test_same_as_one_run(self):
        self.sweep(self.client, PLAN, self.place / "plain.h5", seconds=0.3)
        self.assert_same(self.place / "plain.h5")

    def test_same_with_a_worker_killed(self):
        victims = []

        def kill_one(rows):
            if rows < 8 or victims:
                return
            busy = [worker for worker, tasks in self.client.processing().items() if tasks]
            pids = self.client.run(os.getpid, workers=busy[:1]) if busy else {}
            for pid in pids.values():
                os.kill(pid, signal.SIGKILL)
                victims.append(pid)

        self.sweep(self.client, PLAN, self.place / "killed.h5", seconds=0.3, after_batch=kill_one)
        self.assertEqual(len(victims), 1)
        self.assertFalse(Path(f"/proc/{victims[0]}").exists())
        self.assert_same(self.place / "killed.h5")

    def test_goes_on_after_a_stop(self):
        class Stop(Exception):
            pass

        seen = []

        def stop(rows):
            if rows >= 12:
                raise Stop

        with self.assertRaises(Stop):
            self.sweep(self.client, PLAN, self.place / "stopped.h5", seconds=0.3, after_batch=stop)
        self.assertFalse((self.place / "stopped.h5").exists())
        self.sweep(self.client, PLAN, self.place / "stopped.h5", seconds=0.3, after_batch=seen.append)
        self.assertGreater(seen[0], 12)  # what was there was not begun anew
        self.assert_same(self.place / "stopped.h5")


if __name__ == "__main__":
    unittest.main()
