-- life_ages: every spell with its ages on both clocks, and why it cannot be used if it cannot.
-- grain    one row per spell
-- reads    derived.boats, engine_pace, first_intervals, hours_at, life_engines, parameters, row_hours, spells; accepted.engines
-- gives    entry_, low_, high_ ages in engine hours and months;  fitting_known;  left_out  the reason, empty: it is a life
-- because  a life that was running when the records began is seen only from then on, and only if its fitting day is known: by a line dated
--          back, or because the engine was then too young to have had the part renewed: within three quarters of its interval, for yards
--          renew before it is up. Hours that rise faster than days allow are unknown.
with grouped as (
    select s.*, g.hours_engine_id, v.base, v.vessel_class, v.water,
           case when s.carried_by = 'engine' then e.engine_model else coalesce(v.engine_model, e.engine_model) end as engine_model,
           case when s.carried_by = 'engine' then e.drive else coalesce(v.drive, e.drive) end as drive,
           case when s.carried_by = 'engine' then e.fuel else coalesce(v.fuel, e.fuel) end as fuel,
           case when s.began_on >= s.watched_from_on then s.began_on
                when s.hidden then coalesce(s.early_sound_on, s.began_on)
                else s.watched_from_on end as entry_on
    from derived.spells s
    join derived.boats v on v.vessel_id = s.last_vessel_id
    left join derived.life_engines g on g.position_no = s.position_no and g.spell_no = s.spell_no
    left join accepted.engines e on e.engine_id = g.hours_engine_id
),
dated as (
    select g.*,
           case when g.ending = 'found failed' or (g.hidden and g.ending in ('running', 'withdrawn'))
                then greatest(coalesce(g.sound_on, g.entry_on), g.entry_on)
                else g.ended_on end as low_on,
           case when g.ending in ('failed', 'found failed') then g.ended_on end as high_on
    from grouped g
),
timed as (
    select d.*,
           coalesce(rb.hours, hb.hours) as began_h,
           case when d.entry_on = d.began_on then coalesce(rb.hours, hb.hours) else hn.hours end as entry_at_h,
           case when d.low_on = d.ended_on then coalesce(re.hours, he.hours)
                when d.low_on = d.began_on then coalesce(rb.hours, hb.hours)
                else hl.hours end as low_at_h,
           coalesce(re.hours, he.hours) as ended_at_h,
           case when re.hours is not null then 'own meter' else he.source end as hours_source,
           hw.hours as watched_at_h,
           q.peak_h_per_day
    from dated d
    left join derived.row_hours rb on rb.row_id = d.began_row_id and rb.engine_id = d.hours_engine_id
    left join derived.hours_at hb on hb.engine_id = d.hours_engine_id and hb.on_date = d.began_on
    left join derived.hours_at hn on hn.engine_id = d.hours_engine_id and hn.on_date = d.entry_on
    left join derived.hours_at hl on hl.engine_id = d.hours_engine_id and hl.on_date = d.low_on
    left join derived.row_hours re on re.row_id = d.end_row_id and re.engine_id = d.hours_engine_id
    left join derived.hours_at he on he.engine_id = d.hours_engine_id and he.on_date = d.ended_on
    left join derived.hours_at hw on hw.engine_id = d.hours_engine_id and hw.on_date = d.watched_from_on
    left join derived.engine_pace q on q.engine_id = d.hours_engine_id
),
gated as (
    select t.*,
           entry_at_h >= began_h and low_at_h >= entry_at_h and ended_at_h >= low_at_h
           and ended_at_h - began_h <= 24.0 * (date_diff('day', began_on, ended_on) + 1)
           and ended_at_h - began_h <= 1.5 * peak_h_per_day * date_diff('day', began_on, ended_on) + 50 as hours_known,
           -- to the figures that ages are told to: an age of just the interval is not below it, whatever the last digit of a sum is
           round(watched_at_h - began_h, 4) as young_h,
           date_diff('day', began_on, watched_from_on) / 30.4375 as young_months
    from timed t
),
originals as (
    select g.*,
           g.spell_no > 0
           or (g.source <> 'ticket'
               and (coalesce(g.born_on >= g.watched_from_on, false)
                    or coalesce((i.every_h is not null or i.every_months is not null)
                                and (i.every_h is null or g.young_h < 0.75 * i.every_h)
                                and (i.every_months is null or g.young_months < 0.75 * i.every_months), false))) as fitting_known
    from gated g
    left join derived.first_intervals i
      on i.component = g.component and i.engine_model is not distinct from g.engine_model and i.base is not distinct from g.base
),
judged as (
    select g.*,
           case when g.watched_from_on is null then 'there are no service tickets to tell its lives from'
                when g.spell_no = 0 and g.born_on is null then 'its boat has neither a first day nor an engine'
                when g.ended_on <= g.watched_from_on and g.began_on < g.watched_from_on then 'it ended before the records of its boat began'
                when g.spell_no = 0 and g.first_fitting_follows then 'nothing was fitted here before its first fitting'
                when g.spell_no = 0 and g.source = 'ticket' then 'the position is known only from a ticket, so what was in it before is not'
                when g.ended_on < g.began_on then 'it left the fleet before it was fitted'
                when not g.fitting_known then 'it was running when the records of its boat began and its fitting day is not known'
                when g.low_on <= g.entry_on and coalesce(g.high_on, g.entry_on) <= g.entry_on
                then 'it ended the day it came under observation'
           end as left_out
    from originals g
)
select j.*,
       case when hours_known then round(entry_at_h - began_h, 4) end as entry_h,
       case when hours_known then round(low_at_h - began_h, 4) end as low_h,
       case when hours_known and ending = 'condition' then round((ended_at_h - began_h) / p.condition_fraction, 4)
            when hours_known and high_on is not null then round(ended_at_h - began_h, 4) end as high_h,
       round(date_diff('day', began_on, entry_on) / 30.4375, 4) as entry_months,
       round(date_diff('day', began_on, low_on) / 30.4375, 4) as low_months,
       case when ending = 'condition' then round(date_diff('day', began_on, ended_on) / 30.4375 / p.condition_fraction, 4)
            when high_on is not null then round(date_diff('day', began_on, high_on) / 30.4375, 4) end as high_months,
       carried_by || ' ' || carrier_id || ' | ' || component || ' | ' || coalesce(position, '') || ' | ' || cast(began_on as varchar)
       as life_id
from judged j
cross join derived.parameters p
