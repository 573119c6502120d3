"""The refusals of this program, as one tree.

What is wrong with a *file* a user wrote is a list of `Problem` values (see
`commission.procedure.problems`), collected and shown together. What is *refused* is an exception:

CommissionError
├── QuantityError          a number or unit that cannot be understood, or has the wrong dimension
├── CalculationError       inputs outside what a calculator's physics allows
├── ProcedureError         a procedure cannot be used; carries its problems
├── RefusedError           the job's rules do not allow this now
│   ├── IllegalEntryError  an entry that no legal job could contain at this point
│   └── SigningError       a signature cannot be made
│       ├── UnsignedError  it has to be made first: who signs, and as what
│       ├── PassphraseError  a wrong passphrase, or too soon after wrong ones
│       └── KeyFileError   a key's file is missing, damaged or open to others
└── RecordError            the durable record
    ├── StoreError         the store cannot be opened, read or written
    │   ├── BusyError      another process holds the job or wrote first
    │   └── SchemaError    the store was made by another version
    └── DamagedError       a record that is not whole
"""


class CommissionError(Exception):
    """Base of every refusal; `str()` is what happened, `hint` says how to go on."""

    def __init__(self, message: str, hint: str = "") -> None:
        """Keep the sentence and the advice apart; `hint` may be empty."""
        super().__init__(message)
        self.message = message
        self.hint = hint

    def diagnostics(self) -> str:
        """Return the sentence for a person, with what to do next where that is known."""
        return f"{self.message} {self.hint}".strip()


class QuantityError(CommissionError):
    """A number or unit that cannot be understood, or one of the wrong dimension."""


class CalculationError(CommissionError):
    """Inputs outside what a calculator's physics allows."""


class ProcedureError(CommissionError):
    """A procedure that cannot be used."""


class RefusedError(CommissionError):
    """The job's rules do not allow this now; nothing was recorded.

    `about` names what was given wrongly, where it is one thing: faces put the refusal beside it.
    """

    about: str = ""

    def __init__(self, message: str, hint: str = "", about: str = "") -> None:
        """Keep what it is about beside the sentence and the advice."""
        super().__init__(message, hint)
        self.about = about or self.about


class IllegalEntryError(RefusedError):
    """An entry that no legal job could contain at this point of its record."""


class SigningError(RefusedError):
    """A signature cannot be made; nothing was recorded."""


class PassphraseError(SigningError):
    """A wrong passphrase, or one typed too soon after wrong ones."""

    about = "secret"


class KeyFileError(SigningError):
    """The file of a key is missing, damaged, or can be read by others."""


class UnsignedError(SigningError):
    """What is to be recorded takes a signature, which has to be given first."""

    def __init__(self, person: str, name: str, meaning: str) -> None:
        """Name the person, by id and by name, and what the signature would mean."""
        super().__init__(f"This takes {name}'s signature ({meaning}).", "Sign it first.")
        self.person = person
        self.name = name
        self.meaning = meaning


class RecordError(CommissionError):
    """Something about the durable record."""


class StoreError(RecordError):
    """The store cannot be opened, read or written; what was confirmed is untouched."""


class BusyError(StoreError):
    """Another process holds this job, or wrote to it first; nothing was written."""


class SchemaError(StoreError):
    """The store was made by another version of this program; nothing was changed."""


class DamagedError(RecordError):
    """A record that is not whole."""
