"""Completion as a person meets it: each shell in a terminal, the keys typed, the screen read.

usage: test_completion.py PROGRAM [--installed]; leaves with 77 where a shell is not installed, after trying the
others. With --installed the shells must find the completion where a package put it.
"""

import os
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PROGRAM = Path(sys.argv[1]).resolve()
INSTALLED = "--installed" in sys.argv

# typed before the tabulator, and what must stand on the screen afterwards
TYPED = [
    ("thinquench har", ["thinquench harden"]),
    ("thinquench find ti", ["thinquench find timer"]),
    ("thinquench harden --mem", ["--members"]),
    ("thinquench find --steel 10", ["1084", "1095"]),
    ("thinquench harden --fail-on mar", ["--fail-on marginal"]),
    ("thinquench stock O", ["O1", "O2"]),
    ("thinquench harden my_bla", ["my_blade.toml"]),
]


def bash(folder):
    (folder / "rc").write_text("PS1='> '\nbind 'set bell-style none'\nbind 'set show-all-if-ambiguous on'\n"
                               f"source {'/usr/share/bash-completion/bash_completion' if INSTALLED else folder / 'bash'}\n")
    return ["bash", "--noprofile", "--rcfile", str(folder / "rc"), "-i"], {}


def zsh(folder):
    functions = folder / "functions"
    functions.mkdir()
    if not INSTALLED:
        shutil.copy(folder / "zsh", functions / "_thinquench")
    (folder / ".zshrc").write_text(f"PS1='> '\nfpath=({functions} $fpath)\nautoload -Uz compinit\ncompinit -u\n"
                                   "unsetopt beep\n")
    return ["zsh", "-d", "-i"], {"ZDOTDIR": str(folder)}


def fish(folder):
    made = folder / "config/fish/completions"
    made.mkdir(parents=True)
    if not INSTALLED:
        shutil.copy(folder / "fish", made / "thinquench.fish")
    return ["fish", "--private"], {"XDG_CONFIG_HOME": str(folder / "config"), "fish_greeting": ""}


def answer_to_questions(text):
    """What a terminal says when a shell asks it where it is."""
    return b"\x1b[1;1R" * text.count("\x1b[6n") + b"\x1b[?1;2c" * (text.count("\x1b[c") + text.count("\x1b[0c"))


def read_until_quiet(terminal, quiet_s, most_s, wanted=()):
    text, begin, last = "", time.monotonic(), time.monotonic()
    while time.monotonic() - begin < most_s:
        if select.select([terminal], [], [], 0.05)[0]:
            piece = os.read(terminal, 65536).decode("utf-8", "replace")
            if reply := answer_to_questions(piece):
                os.write(terminal, reply)
            text, last = text + piece, time.monotonic()
        plain = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[()][A-Z0-9]|\x1b[=>]|\r", "", text)
        seen = wanted and all(w in plain for w in wanted)
        if seen or (not wanted and time.monotonic() - last > quiet_s):
            break
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[()][A-Z0-9]|\x1b[=>]|\r", "", text)


def screen_after(command, environment, folder, typed, wanted):
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder / "work")
        os.execvpe(command[0], command, environment)
    try:
        read_until_quiet(terminal, 1.0, 30)
        os.write(terminal, typed.encode() + b"\t")
        text = read_until_quiet(terminal, 0, 10, wanted)
        if not all(w in text for w in wanted):  # some shells list at the second one
            os.write(terminal, b"\t")
            text += read_until_quiet(terminal, 0, 20, wanted)
        return text
    finally:
        os.kill(pid, 9)
        os.waitpid(pid, 0)
        os.close(terminal)


def main():
    bad, missing = 0, []
    for shell in (bash, zsh, fish):
        name = shell.__name__
        if shutil.which(name) is None:
            missing.append(name)
            continue
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            (folder / "work").mkdir()
            (folder / "work/my_blade.toml").touch()
            made = subprocess.run([PROGRAM, "help", name], check=True, capture_output=True).stdout
            (folder / name).write_bytes(made)
            command, more = shell(folder)
            environment = {"HOME": place, "TERM": "xterm", "LANG": "C.UTF-8", "COLUMNS": "200", "LINES": "50",
                           "PATH": f"{PROGRAM.parent}:{os.environ['PATH']}", **more}
            for typed, wanted in TYPED:
                text = screen_after(command, environment, folder, typed, wanted)
                good = all(w in text for w in wanted)
                bad += not good
                print(f"{name}: {typed}<tab>: {'ok' if good else 'WRONG, the screen holds ' + repr(text)}")
    if missing:
        print("not installed here: " + ", ".join(missing))
    return 1 if bad else 77 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
