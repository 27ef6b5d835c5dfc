# SPDX-License-Identifier: MIT
# Sourced by src/run.sh and tests/run.sh: finds and installs missing Debian packages.

# What building and running needs
run_packages="gcc libc6-dev meson ninja-build pkg-config libgtk-4-dev libadwaita-1-dev
libfluidsynth-dev libjson-c-dev libxml2-dev libarchive-dev libsndfile1-dev libebur128-dev
libsamplerate0-dev libasound2-dev libaubio-dev libcairo2-dev libpango1.0-dev libsqlite3-dev
zlib1g-dev libglib2.0-dev libglib2.0-bin fonts-noto-core timgm6mb-soundfont
adwaita-icon-theme librsvg2-common"

# Print those of the packages named that are not installed
missing_packages() {
  for package in "$@"; do
    case "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null)" in
    installed) ;;
    *) printf '%s ' "$package" ;;
    esac
  done
}

# Install what is missing of the packages named, asking first where somebody can answer
install_packages() {
  missing=$(missing_packages "$@")
  [ -n "$missing" ] || return 0

  if ! command -v apt-get >/dev/null 2>&1; then
    echo "These packages are missing, and there is no apt-get to install them: $missing" >&2
    return 3
  fi

  as_root=""
  if [ "$(id -u)" -ne 0 ]; then
    as_root="sudo"
    if ! command -v sudo >/dev/null 2>&1 || ! [ -t 0 ]; then
      echo "Please install these packages as root, then start again:" >&2
      echo "  apt-get install --no-install-recommends $missing" >&2
      return 3
    fi
  fi

  echo "Quintfall needs these Debian packages: $missing"
  if [ -t 0 ]; then
    printf 'Install them now with apt-get? [Y/n] '
    read -r answer
    case "$answer" in
    [nN]*)
      echo "Nothing was installed." >&2
      return 3
      ;;
    esac
  fi

  echo "Installing; this can take some minutes."
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq || true
  # shellcheck disable=SC2086 # a list of words
  if ! $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y \
    --no-install-recommends $missing </dev/null >/dev/null; then
    echo "apt-get could not install them; its message above says why." >&2
    return 3
  fi
}
