"""Every error that towless raises on purpose, with the exit code of the command.

TowlessError
├── Refused (1)            the thing asked for was refused whole, with its reason
│   ├── NoFigure               no figure can be given from these records
│   ├── RowsLeftOut            `--strict` and at least one row was left out
│   └── NotAllowed             who is signed in has not the role for it
├── WrongInput (2)         the command or a file is wrong; nothing changed
│   ├── UnreadableFile         a file cannot be read at all
│   ├── UnknownKind            a file's columns fit no record kind
│   ├── WrongMapping           a mapping file is wrong
│   ├── WrongSettings          a settings file is wrong
│   └── UnknownWord            a word of the command is not known here
└── LedgerUnavailable (3)  the ledger cannot be used now; nothing changed
    ├── LedgerInUse            another towless is writing
    ├── LedgerDamaged          the file is not a sound ledger
    │   └── CopyUnsound            a published copy cannot be read; the ledger may be sound
    └── NoLedger               there is no ledger there yet

A message shows the value, the place and the way out. A traceback is a bug of ours.
"""


class TowlessError(Exception):
    """Raised on purpose; `exit_code` is what the command ends with."""

    exit_code = 2


class Refused(TowlessError):
    """What was asked for was refused whole, with its reason."""

    exit_code = 1


class NoFigure(Refused):
    """No figure can be given from these records; the message says why and what would change it."""


class RowsLeftOut(Refused):
    """`--strict` was asked for and at least one row would be left out; nothing was taken in."""


class NotAllowed(Refused):
    """Who is signed in to a shared dashboard has not the role for what was asked; nothing changed."""


class WrongInput(TowlessError):
    """The command or a file is wrong; nothing changed."""

    exit_code = 2


class UnreadableFile(WrongInput):
    """A file cannot be read at all, so it is refused whole."""


class UnknownKind(WrongInput):
    """The columns of a file fit no record kind."""


class WrongMapping(WrongInput):
    """A mapping file is wrong."""


class WrongSettings(WrongInput):
    """A settings file is wrong."""


class UnknownWord(WrongInput):
    """A word of the command is not known here; the message names the nearest."""


class LedgerUnavailable(TowlessError):
    """The ledger cannot be used now; nothing changed."""

    exit_code = 3


class LedgerInUse(LedgerUnavailable):
    """Another towless is writing to the ledger; the message says which."""


class LedgerDamaged(LedgerUnavailable):
    """The file is not a sound ledger."""


class CopyUnsound(LedgerDamaged):
    """A published copy is damaged or was laid out by another towless; it can be made anew from the ledger."""


class NoLedger(LedgerUnavailable):
    """There is no ledger there yet."""
