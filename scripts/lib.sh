# Shared by the scripts beside it: packages, builds, steps that are timed and counted. To be sourced.
# shellcheck shell=bash

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

# What the program needs to build, and what its tests need besides (Debian 12 names).
build_packages=(g++ cmake ninja-build libeigen3-dev libboost-dev libhdf5-dev libtoml11-dev libcli11-dev
  nlohmann-json3-dev)
test_packages=(libgtest-dev clang-14 libclang-rt-14-dev clang-format-14 hdf5-tools libsundials-dev libopenblas-dev
  python3-h5py python3-matplotlib)
# What the Python package needs to build and its tests besides, and the engines and shells that tests try.
python_packages=(python3-dev pybind11-dev python3-numpy)
engine_packages=(python3-distributed slurm-wlm munge zsh fish groff-base faketime locales)
# What the tests of the pages need: a browser and what drives it, with the fonts that the sheet is set in.
page_packages=(chromium nodejs npm fonts-dejavu-core)

# What builds the live page: the compiler to WebAssembly, and the headers that it needs of the packages above.
page_build_packages=(emscripten cmake ninja-build libeigen3-dev libboost-dev libtoml11-dev nlohmann-json3-dev)

# page_packages_missing: those whose command is not there; Node may have come from elsewhere, with its own npm.
page_packages_missing() {
  command -v chromium > /dev/null || echo chromium
  command -v node > /dev/null || echo nodejs
  command -v npm > /dev/null || echo npm
}

say() { printf '%s\n' "== $*"; }
die() {
  printf '%s\n' "${0##*/}: $*" >&2
  exit 1
}

# all_installed PACKAGE...: whether dpkg knows each as installed.
all_installed() {
  local package
  for package in "$@"; do
    [[ $(dpkg-query -W -f '${db:Status-Status}' "$package" 2> /dev/null || true) == installed ]] || return 1
  done
}

# install_missing PACKAGE...: installs those that dpkg does not know as installed; asks for root only then.
install_missing() {
  local missing=() package
  if ! command -v dpkg-query > /dev/null; then
    say "No dpkg here, so nothing is installed. Needed, by their Debian 12 names: $*"
    return
  fi
  for package in "$@"; do
    # No pipe here: under pipefail an unknown package must only count as missing.
    if [[ $(dpkg-query -W -f '${db:Status-Status}' "$package" 2> /dev/null || true) != installed ]]; then
      missing+=("$package")
    fi
  done
  ((${#missing[@]})) || return 0

  local as_root=()
  if ((EUID != 0)); then
    command -v sudo > /dev/null ||
      die "as root, please: apt-get install --no-install-recommends ${missing[*]}"
    as_root=(sudo)
  fi
  say "Installing with apt-get: ${missing[*]}"
  local log
  log=$(mktemp)
  if ! { "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -qq &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
      "${missing[@]}"; } > "$log" 2>&1; then
    tail -n 20 "$log" >&2
    die "apt-get could not install these packages (its last lines stand above; all of it in $log)"
  fi
  rm -f "$log"
}

# configure_and_build FOLDER "TARGET..." [CMAKE OPTION...]: FOLDER under the root; prints only what matters. With
# only_configure=true nothing is built.
configure_and_build() {
  local folder=$root/$1 targets generator=()
  read -ra targets <<< "$2"
  shift 2
  [[ -f $folder/CMakeCache.txt ]] || generator=(-G Ninja)
  cmake -S "$root" -B "$folder" "${generator[@]}" "$@" --log-level=WARNING > /dev/null || return
  ! ${only_configure:-false} || return 0
  cmake --build "$folder" --target "${targets[@]}" --parallel "$(nproc)"
}
