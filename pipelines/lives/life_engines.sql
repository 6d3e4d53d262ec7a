-- life_engines: the engine whose hours a life is counted in.
-- grain    one row per spell that has one
-- reads    derived.engine_places, spells
-- gives    hours_engine_id
-- because  a part on an engine lives on its hours. A part of the boat does so only where one and the same engine was aboard throughout.
with of_boats as (
    select s.position_no, s.spell_no, min(p.engine_id) as engine_id, count(distinct p.engine_id) as engines,
           min(p.from_on) as from_on, max(coalesce(p.to_on, s.ended_on)) as to_on, min(s.began_on) as began_on, min(s.ended_on) as ended_on
    from derived.spells s
    join derived.engine_places p on p.vessel_id = s.carrier_id and p.from_on <= s.ended_on and (p.to_on is null or p.to_on > s.began_on)
    where s.carried_by = 'vessel'
    group by s.position_no, s.spell_no
)
select position_no, spell_no, carrier_id as hours_engine_id from derived.spells where carried_by = 'engine'
union all
select position_no, spell_no, engine_id from of_boats
where engines = 1 and date_diff('day', began_on, from_on) <= 60 and to_on >= ended_on
