# shellcheck shell=bash
# The Debian 12 packages of this project, in one place. Sourced by demo-data/run, tests/run and the rest.
# install_packages NAME... installs what is missing, as root or with sudo, and asks for no network when all is there.

# what the program needs to be built
build_packages=(g++ cmake ninja-build pkg-config libcli11-dev libfccp-dev libfmt-dev nlohmann-json3-dev
    libexpected-dev libeigen3-dev libboost-math-dev libminizip-dev libexpat1-dev libxlsxwriter-dev
    libmuparser-dev libssl-dev libutf8proc-dev zlib1g-dev)

# what a contributor's tests need besides
test_packages=(catch2 python3 git valgrind)

# what `tests/run --all` needs besides: a second compiler with its sanitizers and fuzzing engine, and its checkers
check_packages=(clang-14 clang-tidy-14 clang-format-14 libclang-rt-14-dev)

# Some machines have these from elsewhere than Debian: the command counts, not the package.
_package_is_there() {
    case $1 in
    nodejs) command -v node >/dev/null ;;
    npm | python3 | git) command -v "$1" >/dev/null ;;
    *) [ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" = installed ] ;;
    esac
}

install_packages() {
    local name missing=() as_root=()
    for name in "$@"; do
        _package_is_there "$name" || missing+=("$name")
    done
    [ ${#missing[@]} -eq 0 ] && return 0
    if ! command -v apt-get >/dev/null; then
        echo "error: these packages are missing, and this is no Debian machine: ${missing[*]}" >&2
        return 1
    fi
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo >/dev/null; then
            echo "error: packages are missing; as root: apt-get install ${missing[*]}" >&2
            return 1
        fi
        as_root=(sudo)
    fi
    as_root+=(env DEBIAN_FRONTEND=noninteractive apt-get -qq -o Dpkg::Use-Pty=0 -o DPkg::Lock::Timeout=300)
    echo "installing: ${missing[*]}" >&2
    # A package list that cannot be refreshed may still be good enough; the install tells.
    "${as_root[@]}" update </dev/null >&2 || true
    "${as_root[@]}" install -y --no-install-recommends "${missing[@]}" </dev/null >&2
}

# configure_build DIR OPTION...: Ninja unless the folder was set up with something else before.
configure_build() {
    local dir=$1
    shift
    local generator=(-G Ninja)
    [ -f "$dir/CMakeCache.txt" ] && generator=()
    cmake -S . -B "$dir" "${generator[@]}" "$@" </dev/null
}
