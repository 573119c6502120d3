"""Private keys in their files, and RFC 8032's own vectors through our signer and verifier."""

from __future__ import annotations

import base64
import subprocess
from typing import TYPE_CHECKING

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
    PublicFormat,
)

from commission.errors import KeyFileError, PassphraseError, SigningError, StoreError
from commission.job.signature import fingerprint, public_of, raw_of
from commission.record.keys import KeyFolder, Signer, check_passphrase

if TYPE_CHECKING:
    from pathlib import Path

PHRASE = "three words överall"
# RFC 8032, 7.1: secret key, public key, message, signature; tests 1, 2, 3 and SHA(abc).
RFC_8032 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
    (
        "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
        "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
        "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
        "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704",
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_our_signer_gives_the_signatures_of_rfc_8032(
    secret: str, public: str, message: str, signature: str
) -> None:
    private = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    signer = Signer("ada", public_of(private.public_key().public_bytes_raw()), private)
    assert raw_of(signer.public).hex() == public
    made = base64.b64decode(signer.sign(bytes.fromhex(message)))
    assert made.hex() == signature
    Ed25519PublicKey.from_public_bytes(raw_of(signer.public)).verify(made, bytes.fromhex(message))


def test_the_public_text_is_the_der_that_the_library_writes() -> None:
    key = Ed25519PrivateKey.generate().public_key()
    der = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    assert base64.b64decode(public_of(key.public_bytes_raw())) == der


@pytest.mark.parametrize("text", ["", "AAAA", "no base64", "MCowBQYDK2VwAyEA"])
def test_what_is_no_public_key_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        fingerprint(text)


@pytest.fixture
def folder(tmp_path: Path) -> KeyFolder:
    return KeyFolder(tmp_path / "bench.db.keys")


def test_a_key_is_its_owners_alone_on_the_disk(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    path = folder.path("ada", signer.key)
    assert path.stat().st_mode & 0o777 == 0o600
    assert folder.folder.stat().st_mode & 0o777 == 0o700
    assert b"ENCRYPTED PRIVATE KEY" in path.read_bytes()
    assert folder.open("ada", signer.public, PHRASE).sign(b"x") == signer.sign(b"x")


def test_openssl_opens_the_file_and_finds_scrypt_in_it(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    path = folder.path("ada", signer.key)
    der = subprocess.run(
        ["openssl", "pkey", "-in", path, "-passin", f"pass:{PHRASE}", "-pubout", "-outform", "DER"],
        capture_output=True, check=True,
    ).stdout  # fmt: skip
    assert base64.b64encode(der).decode() == signer.public
    parsed = subprocess.run(
        ["openssl", "asn1parse", "-in", path], capture_output=True, text=True, check=True
    ).stdout
    assert ":PBES2" in parsed
    assert ":scrypt" in parsed
    assert ":aes-256-cbc" in parsed


def test_one_phrase_typed_on_two_keyboards_is_one_phrase(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE.replace("ö", "o\u0308"))
    assert folder.open("ada", signer.public, PHRASE).key == signer.key


def test_a_wrong_passphrase_opens_nothing(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    for wrong in ("", PHRASE + " ", PHRASE.upper()):
        with pytest.raises(PassphraseError, match="not right"):
            folder.open("ada", signer.public, wrong)


def test_a_missing_file_is_named(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    folder.discard(signer)
    with pytest.raises(KeyFileError, match=r"ada-.*\.pem is missing") as caught:
        folder.open("ada", signer.public, PHRASE)
    assert "renew" in caught.value.hint


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o660, 0o644])
def test_a_file_open_to_others_is_refused(folder: KeyFolder, mode: int) -> None:
    signer = folder.make("ada", PHRASE)
    folder.path("ada", signer.key).chmod(mode)
    with pytest.raises(KeyFileError, match=f"mode {mode:o}"):
        folder.open("ada", signer.public, PHRASE)


@pytest.mark.parametrize(
    "damage",
    [
        lambda _: b"",
        lambda content: content[:100],
        lambda content: content.replace(b"ENCRYPTED", b"ENCRUSTED"),
        lambda content: content.replace(b"\n", b"\r\n"),
        lambda _: b"\x00" * 300,
        lambda content: content.replace(content[60:64], b"!!!!"),
        lambda content: content[:-40] + content[-36:],
    ],
)
def test_a_damaged_file_is_told_from_a_wrong_passphrase(folder: KeyFolder, damage: object) -> None:
    signer = folder.make("ada", PHRASE)
    path = folder.path("ada", signer.key)
    assert callable(damage)
    path.write_bytes(damage(path.read_bytes()))
    with pytest.raises(KeyFileError, match="damaged"):
        folder.open("ada", signer.public, PHRASE)


def test_every_damaged_byte_leads_to_a_refusal_and_to_nothing_else(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    path = folder.path("ada", signer.key)
    content = path.read_bytes()
    for place in range(0, len(content), 9):
        path.write_bytes(content[:place] + b"#" + content[place + 1 :])
        with pytest.raises(SigningError):
            folder.open("ada", signer.public, PHRASE)


def test_a_file_of_another_key_is_refused(folder: KeyFolder) -> None:
    one, other = folder.make("ada", PHRASE), folder.make("ada", PHRASE)
    folder.path("ada", other.key).replace(folder.path("ada", one.key))
    with pytest.raises(KeyFileError, match="another key"):
        folder.open("ada", one.public, PHRASE)


def test_a_key_that_another_tool_wrote_is_refused(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    private = Ed25519PrivateKey.generate()
    pem = private.private_bytes(
        Encoding.PEM, PrivateFormat.PKCS8, BestAvailableEncryption(PHRASE.encode())
    )
    folder.path("ada", signer.key).write_bytes(pem)
    with pytest.raises(KeyFileError):  # laid out otherwise than ours: put back from a copy
        folder.open("ada", signer.public, PHRASE)


def test_the_passphrase_changes_and_the_key_stays(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    folder.change("ada", signer.public, PHRASE, "entirely other words")
    path = folder.path("ada", signer.key)
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in folder.folder.iterdir()] == [path.name]
    assert folder.open("ada", signer.public, "entirely other words").key == signer.key
    with pytest.raises(PassphraseError):
        folder.open("ada", signer.public, PHRASE)


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="cannot be written"):
        KeyFolder(tmp_path / "file" / "keys").make("ada", PHRASE)


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        ("", "has 0 characters"),
        ("short", "has 5 characters"),
        ("elevenchars", "has 11 characters"),
        ("aaaaaaaaaaaaaaaa", "too easy"),
        ("Ada Nwosu Ada Nwosu", "too easy"),
        ("two lines\nof words", "no line"),
        ("x" * 201, "no line"),
    ],
)
def test_an_easy_passphrase_is_refused(phrase: str, said: str) -> None:
    with pytest.raises(SigningError, match=said):
        check_passphrase(phrase, "ada", "Ada Nwosu")


def test_a_signer_shows_no_secret(folder: KeyFolder) -> None:
    signer = folder.make("ada", PHRASE)
    assert repr(signer) == f"Signer('ada', {signer.key[:16]}…)"
