"""What each verb that tells figures does: ask `flow`, print the answer.

In: the parsed command. Out: text on standard output, warnings on standard error, an exit code.
Elsewhere: records coming in and the ledger itself (`record_verbs`), how a verb asks and prints (`asking`), the words (`parser`).
"""

import argparse
from uuid import uuid4

from pipelines.advice.words import counted
from pipelines.command import due_beside
from pipelines.command.asking import answered, ledger_of, printed, refuse_overwriting, say, scope_of, settings_of
from pipelines.errors import WrongInput
from pipelines.exports.calendar import write_calendar
from pipelines.exports.package.written import write_package
from pipelines.flow import (
    adopting,
    alarms,
    answering,
    backtesting,
    calls_now,
    copies,
    due_list,
    kept_forecasts,
    outside,
    packaging,
    plan_history,
    printing,
    putting_off,
    shelf,
)
from pipelines.flow import week as weeks
from pipelines.flow.fleet_words import understood
from pipelines.flow.kits import kits
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.kit import SAFETY_GEAR
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings


def week(request: argparse.Namespace) -> int:
    """Print what the week asks for."""
    return answered(request, weeks.week)


def rates(request: argparse.Namespace) -> int:
    """Print rates of calls or failures."""
    pair = tuple(request.compare) if request.compare else None
    return answered(request, answering.rates, of=request.of, by=request.by, compare=pair, with_patterns=request.format == "json")


def lives(request: argparse.Namespace) -> int:
    """Print one row a life."""
    return answered(request, answering.lives)


def fits(request: argparse.Namespace) -> int:
    """Print fits of the ledger's lives, or of a table of lives from outside."""
    if request.lives:
        printed(outside.fits_of_table(request.lives, request.clock, settings_of(request)), request)
        return 0
    return answered(request, answering.fits, by=request.by, clock=request.clock, with_details=request.format == "json")


def intervals(request: argparse.Namespace) -> int:
    """Print the verdicts or what was adopted, or adopt intervals."""
    if request.adopted:
        request.listing = "adopted"
        return answered(request, plan_history.adoptions)
    if not request.adopt and (request.every_h is not None or request.every_months is not None):
        raise WrongInput("--every-h and --every-months say what to adopt. Name the part with --adopt COMPONENT, or leave them out.")
    if request.adopt:
        adoption = adopting.Adoption(tuple(request.adopt), request.every_h, request.every_months, request.adopted_by, request.because)
        told = adopting.adopt(ledger_of(request), adoption, scope_of(request), settings_of(request))
        say(told)
    return answered(request, answering.intervals, by=request.by, costs_file=request.costs)


def due(request: argparse.Namespace) -> int:
    """Print what is due or what was put off, put a task off, and write the calendar if asked."""
    beside = due_beside.is_asked(request)  # before anything is written
    if request.put_offs:
        request.listing = "put-offs"
        return answered(request, putting_off.put_offs)
    if request.put_off:
        say(putting_off.put_off(ledger_of(request), _wish_to_put_off(request), settings_of(request)))
        request.until = None  # it was the day of the put-off, not the end of what is known
    refuse_overwriting(request.calendar)
    settings, scope = settings_of(request), scope_of(request)
    if beside:
        return _due_beside(request, scope, settings)
    answer = copies.asked(
        ledger_of(request), settings, lambda copy: answering.due(copy, understood(copy, scope), settings, within_days=request.within)
    )
    if request.calendar is not None:
        write_calendar(answer, request.calendar)
    printed(answer, request)
    for sentence in due_list.cannot_be_told(answer.extra):
        say(sentence)
    return 0


def _due_beside(request: argparse.Namespace, scope: Scope, settings: Settings) -> int:
    """Print visits or spare boats, and write the calendar of the visits if asked."""
    answer = due_beside.asked(request, ledger_of(request), scope, settings)
    if request.calendar is not None:
        write_calendar(answer, request.calendar)
    request.listing = due_beside.VISITS if request.visits else due_beside.SPARE_BOATS
    printed(answer if request.format == "json" else due_beside.alone(answer, request), request)
    for sentence in due_beside.said_of(answer, request):
        say(sentence)
    return 0


def _wish_to_put_off(request: argparse.Namespace) -> putting_off.PutOff:
    return putting_off.PutOff(
        request.put_off,
        request.until,
        request.put_off_by,
        request.because,
        request.boat,
        request.engine,
        request.position,
        request.task,
        request.until_h,
    )


def stock(request: argparse.Namespace) -> int:
    """Write down what was done to the shelf, then print what to stock and order; or the kit that each type of boat should carry."""
    _change_shelf(request)
    if request.kit:
        request.listing = "kit"
        say(SAFETY_GEAR)
        return answered(request, kits, budget=request.kit_budget, most_weight=request.kit_weight)
    return answered(request, answering.stock, budget=request.budget)


def _change_shelf(request: argparse.Namespace) -> None:
    """Write down what was ordered, received or counted, and say what stands there now."""
    said = {shelf.ORDERED: request.ordered, shelf.RECEIVED: request.received, shelf.COUNTED: request.counted}
    changes = [
        shelf.ShelfChange(part, done, shelf.whole_pieces(pieces), request.base)
        for done, pairs_said in said.items()
        for part, pieces in pairs_said
    ]
    if changes:
        form = uuid4().hex
        for line in shelf.write_shelf(ledger_of(request), changes, request.done_by, request.because, form, settings_of(request)).told:
            say(line)


def export(request: argparse.Namespace) -> int:
    """Write the figures to a folder."""
    settings, scope = settings_of(request), scope_of(request)
    package = copies.asked(ledger_of(request), settings, lambda copy: packaging.package_of(copy, understood(copy, scope), settings))
    written = write_package(package, request.folder, request.forms)
    for remark in package.remarks:
        say(remark)
    say(f"{counted(len(written), 'file', 'files')} written to {request.folder}; dictionary.html says what each column means.")
    return 0


def likely(request: argparse.Namespace) -> int:
    """Print the likely causes of a call."""
    return answered(request, calls_now.likely, boat=request.boat, symptom=request.symptom, on=request.on)


def backtest(request: argparse.Namespace) -> int:
    """Print seasons foretold and what came, the season that comes, forecasts that were kept, or what wants a look now."""
    if request.keep:
        say(kept_forecasts.keep(ledger_of(request), request.kept_by, settings_of(request)))
    if request.keep or request.kept:
        request.listing = "kept_forecasts"
        return answered(request, kept_forecasts.kept)
    if request.next:
        request.listing = "coming"
        return answered(request, kept_forecasts.coming)
    if not request.alarms:
        return answered(request, backtesting.backtest)
    request.listing = "alarms"
    return answered(request, alarms.alarms)


def print_(request: argparse.Namespace) -> int:
    """Write one paper as a PDF, or as a table."""
    refuse_overwriting(request.file)
    settings, scope = settings_of(request), scope_of(request)
    with copies.current_copy(ledger_of(request), settings) as copy:
        wish = (request.paper, request.file, request.size, request.within, request.boat)
        limits = (request.kit_budget, request.kit_weight)
        written = printing.print_paper(copy, scope, settings, *wish, budget=request.budget, kit_limits=limits)
    told = ("sheet", "sheets") if request.file.suffix.lower() == ".pdf" else ("row", "rows")
    say(f"{request.file}: {counted(written, *told)}. {DEFERENCE}")
    return 0
