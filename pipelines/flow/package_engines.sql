-- package_engines: the engines as the records list them, for the data package.
-- grain    one row per listed engine
-- reads    accepted.engines
-- gives    what engines are told apart by
-- because  a table elsewhere has to know what an engine's number means before it can be grouped.
select engine_id, engine_model, drive, fuel, power_kw, commissioned_on, withdrawn_on
from accepted.engines
order by engine_id
