"""Whether two results of a sweep hold the same: every dataset and attribute, bit for bit, but what tells how and when
each was made. As a program: same_sweep.py ONE.h5 OTHER.h5"""

import sys

import h5py
import numpy as np

MADE = ("created", "command_line")  # of the provenance


def differences(one, other):
    out = []
    with h5py.File(one, "r") as a, h5py.File(other, "r") as b:
        names = [set(), set()]
        for found, file in zip(names, (a, b)):
            file.visit(found.add)
        out += [f"{name}: only in one" for name in sorted(names[0] ^ names[1])]
        for name in sorted(names[0] & names[1]):
            for key in set(a[name].attrs) | set(b[name].attrs):
                if key in MADE or key in ("DIMENSION_LIST", "REFERENCE_LIST"):  # addresses inside the file
                    continue
                if not np.array_equal(a[name].attrs.get(key), b[name].attrs.get(key)):
                    out.append(f"{name}: attribute {key}")
            if isinstance(a[name], h5py.Dataset) and name.split("/")[-1] not in MADE:
                if a[name].dtype != b[name].dtype or a[name].shape != b[name].shape:
                    out.append(f"{name}: another shape or type")
                elif a[name].dtype.kind == "f":
                    if a[name][()].tobytes() != b[name][()].tobytes():
                        out.append(f"{name}: other numbers")
                elif not np.array_equal(a[name][()], b[name][()]):
                    out.append(f"{name}: other content")
        compared = len(names[0] & names[1])
    return out, compared


if __name__ == "__main__":
    found, compared = differences(*sys.argv[1:3])
    print("\n".join(found) if found else f"the same in {compared} places")
    sys.exit(1 if found or not compared else 0)
