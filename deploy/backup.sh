#!/bin/sh
# A copy of the database while the bot runs: consistent, checked, readable by its owner alone.
#   backup.sh /var/lib/nudgebot/nudgebot.db /var/backups/nudgebot [KEEP]
# Keeps the newest KEEP copies (default 14). Never copy the file by hand: its newest pages lie in a file beside it.
set -eu
umask 077
database=$1 folder=$2 keep=${3:-14}
mkdir -p "$folder"
copy="$folder/nudgebot-$(date -u +%Y%m%dT%H%M%SZ).db"
trap 'rm -f "$copy.part"' EXIT
python3 - "$database" "$copy.part" <<'PYTHON'
import pathlib, sqlite3, sys

source = sqlite3.connect(pathlib.Path(sys.argv[1]).resolve().as_uri() + "?mode=ro", uri=True, timeout=30)
copy = sqlite3.connect(sys.argv[2])
source.backup(copy)  # in one step: in several, a busy writer would make it start again and again
copy.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it
found = copy.execute("PRAGMA integrity_check").fetchone()[0]
copy.close()
sys.exit(None if found == "ok" else f"the copy is damaged: {found}")
PYTHON
mv "$copy.part" "$copy"
echo "$copy"
# The names sort by time; what is older than the newest KEEP goes.
ls -1 "$folder"/nudgebot-*Z.db | sort -r | tail -n "+$((keep + 1))" | while IFS= read -r old; do rm -- "$old"; done
