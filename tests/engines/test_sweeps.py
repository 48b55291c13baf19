"""Plan, Store and Batches: rows by places, kept in a file, written as the program writes them."""

import multiprocessing
import pickle
import subprocess
import unittest

import numpy as np
import thinquench
from against_one_run import PLAN, PROGRAM, SOURCE, AgainstOneRun
from thinquench.sweeps import Batches, Plan, Rows, Store, rows_of


def part(places):
    return rows_of(str(PLAN), None, *places)


class Sweeps(AgainstOneRun):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.plan = Plan(PLAN)

    def test_what_a_plan_tells(self):
        self.assertEqual(len(self.plan), 36)
        self.assertEqual(self.plan.title, "Small sweep")
        self.assertIn("hardness_tempered", " ".join(self.plan.columns))
        self.assertEqual(len(self.plan.settings(0)), 3)
        self.assertEqual(self.plan.together, 4)  # the tempers
        with self.assertRaises(IndexError):
            self.plan.settings(36)
        with self.assertRaises(IndexError):
            self.plan.rows(30, 37)
        with self.assertRaises(thinquench.InputError):
            Plan(SOURCE / "cases/drop_point_o1.toml")

    def test_same_as_one_run_by_processes(self):
        """The worked example for multiprocessing."""
        store = Store(self.plan, self.place / "processes.rows")
        with multiprocessing.get_context("spawn").Pool(2) as pool:
            for rows in pool.imap_unordered(part, Batches(store.missing(), 2, together=self.plan.together)):
                store.add(rows)
        self.assertEqual(len(store), 36)
        store.write(self.place / "processes.h5")
        self.assert_same(self.place / "processes.h5")

    def test_the_program_joins_them_too(self):
        store = Store(self.plan, self.place / "join.rows")
        for first in range(0, 36, 5):
            store.add(self.plan.rows(first, min(first + 5, 36)))
        del store  # closes the file
        subprocess.run([PROGRAM, "join", self.place / "join.h5", self.place / "join.rows", "--quiet"], check=True)
        self.assert_same(self.place / "join.h5")

    def test_what_is_there_stays(self):
        path = self.place / "kept.rows"
        store = Store(self.plan, path)
        store.add(self.plan.rows(4, 9))
        self.assertEqual(store.missing(), [(0, 4), (9, 36)])
        size = path.stat().st_size
        store.add(self.plan.rows(4, 9))
        self.assertEqual(path.stat().st_size, size)
        with self.assertRaises(thinquench.InputError):  # another process would write it meanwhile
            Store(self.plan, path)
        with self.assertRaises(thinquench.InputError):  # 31 cases are missing
            store.write(self.place / "kept.h5")
        del store
        self.assertEqual(len(Store(self.plan, path)), 5)

    def test_rows_travel_and_mind_their_plan(self):
        rows = pickle.loads(pickle.dumps(self.plan.rows(0, 2)))
        self.assertEqual(rows.failures, ["", ""])
        self.assertTrue(np.isfinite(rows.values[:, 0]).all())
        store = Store(self.plan, self.place / "mind.rows")
        for bad in (rows._replace(plan_sha256="0" * 64), rows._replace(values=rows.values[:, 1:]),
                    rows._replace(numbers=rows.numbers + 100), rows._replace(failures=[])):
            with self.assertRaises(thinquench.InputError):
                store.add(Rows(*bad))
        self.assertEqual(len(store), 0)

    def test_batches_cover_all_once_and_adapt(self):
        batches = Batches([(0, 100), (150, 1000)], hands=2, seconds=2.0)
        sizes, places = [], []
        for first, end in batches:
            sizes.append(end - first)
            places += range(first, end)
            batches.measured(end - first, 0.1 * (end - first))
        self.assertEqual(places, list(range(100)) + list(range(150, 1000)))
        self.assertEqual(sizes[0], 4)  # nothing is known yet
        self.assertEqual(max(sizes), 20)  # 2 s at 0.1 s each
        self.assertEqual(sizes[-1], 1)
        # ends where little is shared, in all but the short ones of the end
        ends = [end for first, end in Batches([(3, 120)], hands=1, together=20)]
        self.assertEqual(ends[:4], [20, 40, 60, 80])
        self.assertEqual(ends[-1], 120)


if __name__ == "__main__":
    unittest.main()
