-- forecasts: every forecast of a season that was ever kept, as it was on the day it was made.
-- grain    one row per kept forecast, sort of count, part and base; the whole fleet has neither part nor base; those taken back too
-- reads    received.forecasts, received.imports
-- gives    chances, naive  the chance of 0, 1, 2 ... as foretold and by a plain count (JSON); undone_by, undone_at  empty: it stands
-- because  a forecast that could be changed, or lost where it was wrong, would be marked by nobody.
select
    f.forecast_no, f.season, f.known_on, f.begins, f.ends, f.kept_on, f.kept_by, f.methods, f.evidence_version, f.sort, f.component, f.base,
    f.expected, f.low, f.high, f.chances, f.naive, f.import_id, i.taken_at, i.undone_by, i.undone_at
from received.forecasts f
join received.imports i on i.import_id = f.import_id
order by f.forecast_no
