# SPDX-License-Identifier: Apache-2.0
# shellcheck shell=bash disable=SC2034,SC2154
# For tests/run and examples/run: what a Debian 12 machine needs, and a build folder that survives being moved.
# Sourced, not run; `set -euo pipefail` is the caller's.

build_packages=(g++ cmake ninja-build libboost-dev libeigen3-dev libtomlplusplus-dev libspdlog-dev libfmt-dev
  libcli11-dev nlohmann-json3-dev libsuitesparse-dev libutf8proc-dev nettle-dev)
test_packages=(libgtest-dev librapidcheck-dev clang-format locales python3 python3-jsonschema chromium
  chromium-driver)

# For the offline page: WebAssembly, and a browser in which it is tested.
page_packages=(clang-22 lld-22 libc++-22-dev-wasm32 libc++abi-22-dev-wasm32 libclang-rt-22-dev-wasm32 wasi-libc)
page_test_packages=(chromium)

# Node.js with npm: any that is there, else the one of Debian.
need_node() {
  if command -v node >/dev/null && command -v npm >/dev/null; then return 0; fi
  need_packages nodejs npm
}

# Installs what is missing of the packages named; does nothing, and needs no rights, where all are there.
need_packages() {
  local package missing=()
  for package in "$@"; do
    if ! dpkg-query -W -f='${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed; then
      missing+=("$package")
    fi
  done
  if [ ${#missing[@]} -eq 0 ]; then return 0; fi
  if ! command -v apt-get >/dev/null; then
    echo "These Debian packages are missing, and there is no apt-get to install them: ${missing[*]}" >&2
    return 1
  fi
  local as_root=()
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "Installing packages needs root or sudo. As root: apt-get install ${missing[*]}" >&2
      return 1
    fi
    as_root=(sudo)
  fi
  echo "Installing: ${missing[*]}"
  local get=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -q -o DPkg::Lock::Timeout=300)
  # A fresh machine knows no packages yet, an old one only packages that are gone by now.
  if ! apt-cache show "${missing[@]}" >/dev/null 2>&1; then "${get[@]}" update; fi
  "${get[@]}" install -y --no-install-recommends "${missing[@]}" && return 0
  "${get[@]}" update
  "${get[@]}" install -y --no-install-recommends "${missing[@]}"
}

# configure FOLDER ARGUMENT...: CMake with Ninja. $top is the top of the tree. A folder that was made for another place
# or generator is made anew.
configure() {
  local folder=$1
  shift
  local cache=$folder/CMakeCache.txt
  if [ -e "$cache" ] && ! { grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$top" "$cache" &&
    grep -qxF "CMAKE_CACHEFILE_DIR:INTERNAL=$folder" "$cache" &&
    grep -qxF "CMAKE_GENERATOR:INTERNAL=Ninja" "$cache"; }; then
    rm -rf "$folder"
  fi
  local launcher=()
  if command -v ccache >/dev/null; then launcher=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
  cmake -S "$top" -B "$folder" -G Ninja "${launcher[@]}" "$@"
}
