"""compute(): the same answers as the program, arrays without copies, threads and processes, errors."""

import ast
import gc
import json
import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
import unittest
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import thinquench as tq

SOURCE = Path(os.environ["TQ_SOURCE"])
PROGRAM = os.environ["THINQUENCH"]
CASE = SOURCE / "cases/drop_point_o1.toml"


def told_by_program(*options):
    run = [PROGRAM, "harden", str(CASE), "--json", "--quiet", "--no-files", *options]
    return json.loads(subprocess.run(run, check=True, capture_output=True, text=True).stdout)


def figures(answer):
    """All but where it comes from."""
    return {key: value for key, value in answer.items() if key != "provenance"}


def hardness_of(spine):
    answer = tq.compute(CASE, {"blade.station.1.spine": spine}, risks=False)
    return answer["stations"][0]["hardness_tempered_least"]


class Answers(unittest.TestCase):
    def test_same_as_the_program_to_the_last_bit(self):
        self.assertEqual(figures(tq.compute(CASE)), figures(told_by_program()))

    def test_bands_same_as_the_program(self):
        self.assertEqual(figures(tq.compute(CASE, members=32, seed=7, threads=2)),
                         figures(told_by_program("--members", "32", "--seed", "7")))

    def test_settings_same_as_set(self):
        told = figures(told_by_program("--set", "blade.station.1.spine=2.5 mm", "--set", 'wish.hardness=["58 HRC", "60 HRC"]'))
        wish = ["58 HRC", "60 HRC"]
        self.assertEqual(figures(tq.compute(CASE, {"blade.station.1.spine": "2.5 mm", "wish.hardness": wish})), told)
        self.assertEqual(figures(tq.compute(CASE, blade__station__1__spine="2.5 mm", wish__hardness=wish)), told)

    def test_text_of_a_case(self):
        self.assertEqual(figures(tq.compute(CASE.read_text()))["stations"], figures(tq.compute(CASE))["stations"])

    def test_records(self):
        self.assertIn("O1", tq.records("steel"))
        self.assertIn("medium-oil", tq.records("coolant"))
        with self.assertRaises(tq.InputError):
            tq.records("wood")


class Arrays(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.answer = tq.compute(CASE, risks=False, arrays=True)
        cls.station = cls.answer["arrays"][0]

    def test_shapes_fit(self):
        s = self.station
        steps, nodes = s["time"].shape, s["y"].shape
        self.assertEqual(nodes[1:], s["x"].shape)
        for trace in (s["hottest"], s["surroundings"], *s["zones"].values()):
            self.assertEqual(trace.shape, steps)
        frames = s["frames"]
        self.assertEqual(len(frames["stage"]), len(frames["time"]))
        for name, planes in frames.items():
            if name not in ("time", "stage"):
                self.assertEqual({p.shape for p in planes}, {nodes}, name)
        self.assertTrue(np.all(np.diff(s["time"]) >= 0))  # a step of the treatment may begin where one ends

    def test_they_are_the_solvers_own_memory(self):
        s = self.station
        for view in (s["time"], s["zones"]["edge"], s["frames"]["temperature"][0]):
            self.assertFalse(view.flags.owndata)
            self.assertFalse(view.flags.writeable)
            self.assertEqual(type(view.base).__name__, "Held")

    def test_they_outlive_the_answer(self):
        edge = tq.compute(CASE, risks=False, arrays=True)["arrays"][0]["zones"]["edge"]
        gc.collect()
        np.testing.assert_array_equal(edge, self.station["zones"]["edge"])

    def test_shares_sum_to_one(self):
        frames = self.station["frames"]
        names = ("austenite", "pearlite", "bainite", "martensite", "ferrite", "cementite")
        total = sum(frames[name][-1] for name in names)
        np.testing.assert_allclose(total, 1, atol=1e-12)  # round-off of six shares

    def test_fields_agree_with_the_figures(self):
        # the hottest node of the last frame is what the trace of the hottest point ends with
        self.assertAlmostEqual(self.station["frames"]["temperature"][-1].max(), self.station["hottest"][-1], 9)


class SideBySide(unittest.TestCase):
    spines = ["2 mm", "3 mm", "4 mm", "5 mm"]

    def test_threads_give_the_same(self):
        alone = [hardness_of(s) for s in self.spines]
        with ThreadPoolExecutor(4) as pool:
            self.assertEqual(list(pool.map(hardness_of, self.spines)), alone)

    def test_processes_give_the_same(self):
        alone = [hardness_of(s) for s in self.spines]
        with multiprocessing.get_context("spawn").Pool(2) as pool:
            self.assertEqual(pool.map(hardness_of, self.spines), alone)

    def test_the_lock_is_free_meanwhile(self):
        # Another thread counts while one computes; with the lock held it would stand still.
        done, counted = threading.Event(), []

        def compute():
            try:
                hardness_of("3 mm")
            finally:
                done.set()

        thread = threading.Thread(target=compute)
        thread.start()
        while not done.is_set():
            counted.append(0)
            time.sleep(0.001)
        thread.join()
        self.assertGreater(len(counted), 3)

    def test_ctrl_c_ends_it(self):
        script = ("import signal, thinquench\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
                  "print('begins', flush=True)\n"
                  f"try:\n    thinquench.compute({str(CASE)!r}, members=20000)\n"
                  "except KeyboardInterrupt:\n    print('ended')\n")
        child = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
        self.assertEqual(child.stdout.readline(), "begins\n")
        time.sleep(1)
        child.send_signal(signal.SIGINT)
        self.assertEqual(child.communicate(timeout=60)[0], "ended\n")


class Errors(unittest.TestCase):
    def raised(self, *arguments, **named):
        with self.assertRaises(tq.InputError) as caught:
            tq.compute(*arguments, **named)
        self.assertIsInstance(caught.exception, ValueError)
        return str(caught.exception)

    def test_each_names_what_is_wrong(self):
        self.assertIn("parsec", self.raised(CASE, {"blade.station.1.spine": "3 parsec"}))
        self.assertIn("blade.spin", self.raised(CASE, {"blade.spin": "3 mm"}))
        self.assertIn("nowhere.toml", self.raised("nowhere.toml"))
        self.assertIn("members", self.raised(CASE, members=3))
        self.assertIn("no folder of records", self.raised(CASE, materials="/nowhere"))
        with self.assertRaises(TypeError):
            tq.compute(CASE, {"blade.station.1.spine": object()})

    def test_they_travel_between_processes(self):
        try:
            tq.compute(CASE, {"blade.station.1.spine": "3 parsec"})
        except tq.InputError as error:
            again = pickle.loads(pickle.dumps(error))
            self.assertIs(type(again), tq.InputError)
            self.assertEqual(str(again), str(error))


class Stub(unittest.TestCase):
    def test_it_names_what_the_module_has(self):
        tree = ast.parse((SOURCE / "solver/python/thinquench/_engine.pyi").read_text())
        told = {node.name for node in tree.body if isinstance(node, (ast.ClassDef, ast.FunctionDef))}
        told |= {node.target.id for node in tree.body if isinstance(node, ast.AnnAssign)}
        has = {name for name in vars(tq._engine) if not name.startswith("__")} | {"__version__"}
        self.assertEqual(told, has)


if __name__ == "__main__":
    unittest.main()
