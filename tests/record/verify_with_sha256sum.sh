prev=0000000000000000000000000000000000000000000000000000000000000000
while IFS= read -r line; do
  case $line in
    *",\"prev\":\"$prev\"}") prev=$(printf '%s' "$line" | sha256sum | cut -d' ' -f1) ;;
    *) echo "broken: $line" | cut -c1-80; exit 1 ;;
  esac
done < job.jsonl
echo "whole; head $prev"
