#!/bin/sh
# Checks that the system's packages are there and installs what is missing through apt, as root or with a
# sudo that asks no password. Everything there: it prints nothing, changes nothing and needs no network.
# Usage: .ci/packages.sh [--tests|--speech]     --tests adds what only the tests and the sample recordings need,
# --speech what only the synthetic speech of benches/speech needs.
set -u

tests=no speech=no
case "${1-}" in
    '') ;;
    --tests) tests=yes ;;
    --speech) tests=yes speech=yes ;;
    *) echo "usage: .ci/packages.sh [--tests|--speech]" >&2; exit 2 ;;
esac

if ! command -v cargo >/dev/null 2>&1; then
    echo "The Rust toolchain is missing: cargo was not found. Install it from https://rustup.rs, open a new terminal and try again." >&2
    exit 1
fi

# One line a need: the check, then the package's name in Debian, Fedora and Arch. '-' where no package is
# known. The Debian names were checked on Debian 12; those of Fedora and Arch are from memory.
missing_debian='' missing_fedora='' missing_arch='' missing=''
need() {
    eval "$1" >/dev/null 2>&1 && return
    missing="$missing $2"
    [ "$2" = - ] || missing_debian="$missing_debian $2"
    [ "$3" = - ] || missing_fedora="$missing_fedora $3"
    [ "$4" = - ] || missing_arch="$missing_arch $4"
}

check() {
    missing_debian='' missing_fedora='' missing_arch='' missing=''
    #    how to tell                     Debian        Fedora                Arch
    need 'command -v make'               make          make                  make
    need 'command -v cmake'              cmake         cmake                 cmake
    need 'command -v c++'                g++           gcc-c++               gcc
    need 'command -v pkg-config'         pkg-config    pkgconf-pkg-config    pkgconf
    need 'pkg-config --exists alsa'      libasound2-dev alsa-lib-devel       alsa-lib
    need 'pkg-config --exists openssl'   libssl-dev    openssl-devel         openssl
    need 'command -v espeak-ng'          espeak-ng     espeak-ng             espeak-ng
    need 'command -v python3'            python3       python3               python
    need 'python3 -m pip --version'      python3-pip   python3-pip           python-pip
    if [ "$tests" = yes ]; then
        need 'command -v flite'          flite         flite                 flite
        need 'command -v chromium'       chromium      chromium              chromium
        need 'command -v chromedriver'   chromium-driver chromedriver        chromium
        need 'command -v pdftotext'      poppler-utils poppler-utils         poppler
        need 'command -v sox'            sox           sox                   sox
        need 'command -v pulseaudio'     pulseaudio    pulseaudio            pulseaudio
        need 'command -v paplay'         pulseaudio-utils pulseaudio-utils   libpulse
        need 'ls /usr/lib*/alsa-lib/libasound_module_pcm_pulse.so /usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so 2>/dev/null | grep -q .' \
                                         libasound2-plugins alsa-plugins-pulseaudio alsa-plugins
        need 'test -d /usr/share/pocketsphinx/test/data/cards' pocketsphinx-testdata - -
        need 'test -d /usr/share/xml/w3c-sgml-lib' w3c-sgml-lib - -
    fi
    if [ "$speech" = yes ]; then
        need 'command -v festival'       festival      festival              festival
        need 'test -d /usr/share/festival/voices/english/kal_diphone' festvox-kallpc16k - -
        need 'test -d /usr/share/festival/voices/english/ked_diphone' festvox-kdlpc16k - -
        need 'test -d /usr/share/festival/voices/us/cmu_us_slt_arctic_hts' festvox-us-slt-hts - -
    fi
}

check
# A virtual environment is wished for, not needed: .ci/python.sh knows another way.
wished=''
if [ "$tests" = yes ]; then
    python3 -c 'import venv, ensurepip' >/dev/null 2>&1 || wished=' python3-venv'
fi
[ -z "$missing" ] && [ -z "$wished" ] && exit 0

as_root=''
can_install=no
if command -v apt-get >/dev/null 2>&1; then
    if [ "$(id -u)" = 0 ]; then
        can_install=yes
    elif command -v sudo >/dev/null 2>&1 && sudo -n true 2>/dev/null; then
        can_install=yes as_root='sudo -n'
    fi
fi

if [ "$can_install" = yes ]; then
    echo "== installing system packages:$missing_debian$wished"
    $as_root apt-get update || echo "The package lists could not be brought up to date; trying with those that are here." >&2
    # shellcheck disable=SC2086  # the lists are words, one a package
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends $missing_debian
    if [ -n "$wished" ]; then
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends $wished ||
            echo "python3-venv could not be installed; the Python packages go into a plain folder instead." >&2
    fi
    check
fi
[ -z "$missing" ] && exit 0

# Elsewhere than on Debian a need that has no package there only weakens the tests that use it.
case "$missing" in
' pocketsphinx-testdata' | ' w3c-sgml-lib' | ' pocketsphinx-testdata w3c-sgml-lib')
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "No package is known for this system that brings$missing; the tests that use it leave that part out." >&2
        exit 0
    fi
    ;;
esac

{
    echo "These system packages are missing:$missing"
    echo "Install them, then try again."
    echo "  Debian, Ubuntu:  sudo apt-get install$missing_debian"
    echo "  Fedora:          sudo dnf install$missing_fedora    (names from memory)"
    echo "  Arch:            sudo pacman -S --needed$missing_arch    (names from memory)"
} >&2
exit 1
