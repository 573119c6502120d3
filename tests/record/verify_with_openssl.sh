# Of each signed line: the text that was signed, made again from the line; then openssl decides.
value() { printf '%s\n' "$2" | sed -n 's/.*"'"$1"'":"\{0,1\}\([^",}]*\).*/\1/p'; }
sha() { sha256sum | cut -d' ' -f1; }
signed=0
while IFS= read -r line; do
  case ${line##*,\"signature\":} in '{"format":"commission signature 1"'*) ;; *) continue ;; esac
  said=${line%,\"signature\":*} signature=${line##*,\"signature\":} signed=$((signed + 1))
  start=${said%%,\"clock\":*}
  { echo "commission signature 1"
    echo "stream $(value stream "$start")"
    echo "entry $(value seq "$start")"
    echo "over $(value prev "$signature")"
    echo "content $(printf '%s' "$said" | sha)"
    echo "meaning $(value meaning "$signature")"
    echo "signer $(value signer "$signature")"
    echo "key $(value public "$signature" | base64 -d | sha)"
    echo "at $(value at "$start")"
    echo "register $(value register "$signature") $(value register_head "$signature")"
  } > signed.txt
  value value "$signature" | base64 -d > signed.sig
  { echo "-----BEGIN PUBLIC KEY-----"; value public "$signature"; echo "-----END PUBLIC KEY-----"
  } > signed.pem
  openssl pkeyutl -verify -pubin -inkey signed.pem -rawin -in signed.txt -sigfile signed.sig \
    > /dev/null || { echo "entry $(value seq "$start"): the signature does not hold"; exit 1; }
  echo "entry $(value seq "$start"): $(value meaning "$signature"), $(value signer "$signature")," \
    "key $(value public "$signature" | base64 -d | sha)"
done < job.jsonl
echo "$signed signatures hold"
