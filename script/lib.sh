# What script/start and script/test share. Read by them with `.`; works with the bash of Debian and of macOS (3.2).
# The caller has set -euo pipefail and stands in the project's folder.

var_dir=${SHUTLINE_VAR:-var}
log=$var_dir/log/start.log
venv_python=.venv/bin/python
pango_packages="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"

say() { printf '%s\n' "$*"; }

# fail LINE...: the lines, then the end. The first line says what is wrong, the others what to do.
fail() {
  printf '\n%s\n' "$1" >&2
  shift
  if [ $# -gt 0 ]; then printf '  %s\n' "$@" >&2; fi
  exit 1
}

make_folders() {
  (umask 077 && mkdir -p "$var_dir/log" "$var_dir/private") 2>/dev/null ||
    fail "The folder $var_dir cannot be written." "Run this as the person the folder belongs to."
  # Clients' addresses are in it, also where the folder was there before.
  chmod go-rwx "$var_dir" 2>/dev/null || true
  : >>"$log" || fail "The file $log cannot be written." "Run this as the person the folder belongs to."
}

begin_log() { printf '\n== %s\n' "$*" >>"$log"; }

# The end of what was last begun in the log.
show_log() { awk '/^== /{ text = ""; next } { text = text $0 "\n" } END { printf "%s", text }' "$log" | tail -n 15 | sed 's/^/    /' >&2; }

# quietly WORDS COMMAND...: says the words, keeps the command's talk in the log and shows its end if it fails.
quietly() {
  local words=$1
  shift
  say "$words"
  begin_log "$words"
  if ! "$@" >>"$log" 2>&1; then
    show_log
    fail "This did not work: $words" "The whole story is in $log"
  fi
}

is_root() { [ "$(id -u)" = 0 ]; }

# Whether system packages can be installed here: Debian's apt, and root or sudo (which may ask for a password).
can_install() {
  command -v apt-get >/dev/null || return 1
  is_root && return 0
  command -v sudo >/dev/null || return 1
  sudo -n true 2>/dev/null || { [ -t 0 ] && [ -z "${CI:-}" ]; }
}

as_root() { if is_root; then "$@"; else sudo "$@"; fi; }

missing_packages() {
  local package state missing=""
  for package in "$@"; do
    state=$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null) || state=""
    [ "$state" = installed ] || missing="$missing${missing:+ }$package"
  done
  printf '%s' "$missing"
}

apt_update_and_install() {
  as_root apt-get update -q
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@"
}

# install_packages WHAT-FOR PACKAGE...: installs those that are missing; returns 1 where this is not possible.
install_packages() {
  local what=$1 missing
  shift
  can_install || return 1
  missing=$(missing_packages "$@")
  [ -n "$missing" ] || return 0
  # shellcheck disable=SC2086 # one word a package
  quietly "Installing $what (system packages: $missing) ..." apt_update_and_install $missing
}

# The first Python that is new enough; sets $python.
find_python() {
  local candidate
  for candidate in ${PYTHON:-} python3 python3.14 python3.13 python3.12 python3.11; do
    if command -v "$candidate" >/dev/null &&
      "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      python=$candidate
      return 0
    fi
  done
  fail "Shutline needs Python 3.11 or newer, and there is none here." \
    "Debian or Ubuntu:  sudo apt-get install python3 python3-venv" \
    "Fedora:            sudo dnf install python3" \
    "macOS:             brew install python" \
    "Or name it yourself: PYTHON=/path/to/python3 $0"
}

check_venv_module() {
  "$python" -m config.first_run python && return 0
  local package
  package=python$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')-venv
  install_packages "Python's venv" "$package" || true
  "$python" -m config.first_run python ||
    fail "This Python cannot make an environment of its own (venv)." "Run: sudo apt-get install $package"
}

# The libraries that set letters in the handover pack.
check_pango() {
  "$python" -m config.first_run pango && return 0
  # shellcheck disable=SC2086 # one word a package
  install_packages "Pango, which sets the handover pack," $pango_packages || true
  "$python" -m config.first_run pango ||
    fail "Pango is missing: without it no handover pack can be made. Install it, then start again:" \
      "Debian or Ubuntu:  sudo apt-get install $pango_packages" \
      "Fedora:            sudo dnf install pango harfbuzz" \
      "macOS:             brew install pango"
}

make_venv() {
  # A folder that was moved, or whose Python was upgraded away, is made anew.
  "$venv_python" -c 'import pip' 2>/dev/null && return 0
  quietly "Making a place for the Python packages (.venv) ..." "$python" -m venv --clear .venv
}

# fingerprint FILE...: changes when a file does, or the Python of the environment.
fingerprint() { { "$venv_python" -VV && cat "$@"; } | cksum; }

# install_requirements WORDS STAMP FILE EXTRA-FILE...: only where a file changed since the last time that went well.
install_requirements() {
  local words=$1 stamp=.venv/$2 file=$3 now
  shift 2
  now=$(fingerprint "$@")
  if [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$now" ]; then return 0; fi
  quietly "$words" "$venv_python" -m pip install --disable-pip-version-check --no-input -r "$file"
  printf '%s\n' "$now" >"$stamp"
}

prepare() {
  make_folders
  find_python
  check_venv_module
  check_pango
  make_venv
  install_requirements "Installing the Python packages (a few minutes, this once) ..." \
    shutline-run.stamp requirements.txt
}
