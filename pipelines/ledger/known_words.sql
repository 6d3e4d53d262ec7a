-- known_words: words of the fleet's own records that name boats, engines, bases and models.
-- grain    one row per word
-- reads    held.vessels, engines, parts, components
-- gives    word
-- because  a boat may be called as people are; what a register names is never taken for a person and masked.
select distinct word
from (
    select unnest([vessel_id, name, base, vessel_class]) as word from held.vessels
    union all select unnest([engine_id, engine_model]) as word from held.engines
    union all select unnest([base, supplier]) as word from held.parts
    union all select unnest([component, label]) as word from held.components
)
where word is not null
order by word
