#!/usr/bin/env bash
# Fills a shop with the invented demo runs, through the same importer as any other log.
# usage: tools/fill_demo.sh FOLDER_OF_THE_PROGRAMS FOLDER_FOR_THE_LOGS SHOP
#
# `invent demo` writes logs, one file per dyno, and demo.toml, which says for every run with which options it is kept.
# Runs that the shop has already are passed over, so filling twice adds nothing.
set -eu
programs="$(cd "$1" && pwd)"
mkdir -p "$2" "$3"
logs="$(cd "$2" && pwd)"
shop="$(cd "$3" && pwd)"

"$programs/invent" demo "$logs" >/dev/null
cd "$logs"
for cell in cells/*.toml; do
  key="$(basename "$cell" .toml)"
  "$programs/plateau" dyno learn "$key" --from "$cell" --shop "$shop" >/dev/null
done

# The words of a TOML list of plain strings, one a line.
words() { grep -o '"[^"]*"' <<<"$1" | sed 's/^"//; s/"$//'; }

declare -A number
key="" against=""
while IFS= read -r line; do
  case "$line" in
    "[[run]]") key="" against="" ;;
    "key = "*) key="$(words "$line")" ;;
    "against = "*) against="$(words "$line")" ;;
    "arguments = "*)
      mapfile -t said_arguments < <(words "${line#arguments = }")
      arguments=()
      for word in "${said_arguments[@]}"; do
        case "$word" in # the inventor's words for what the importer calls otherwise
          --cell) arguments+=(--dyno) ;;
          cells/*.toml) arguments+=("$(basename "$word" .toml)") ;;
          --name) arguments+=(--title) ;;
          j1349 | j607) arguments+=("sae_$word") ;;
          *) arguments+=("$word") ;;
        esac
      done
      if [ -n "$against" ]; then arguments+=(--against "${number[$against]}"); fi
      said="$("$programs/plateau" "${arguments[@]}" --shop "$shop" --author "invented" --if-new)"
      echo "$said"
      if [[ "$said" =~ ^([0-9]+) || "$said" =~ as\ run\ ([0-9]+) ]]; then number[$key]="${BASH_REMATCH[1]}"; fi
      ;;
  esac
done <demo.toml
