-- find: what goes by the words that somebody typed.
-- grain    one row per boat, engine, part, stocked part, ticket line or call and way in which the words met it
-- reads    accepted.vessels, engines, parts, catalogue, service_tickets, rescue_calls; derived.engine_places, lives; about.former_names
-- gives    nearness  0: the very id or name, 1: begins with the words, 2: each word begins a word of it, 3: of a note
-- because  who looks for a boat types what is painted on it, or what it was called before, in any case and with or without a space.
with asked as (
    select trim(regexp_replace(strip_accents(lower($words)), '[^\pL\pN]+', ' ', 'g')) as words
),
part_words as (
    select unnest($codes) as code, unnest($part_words) as word
),
own as (
    select v.vessel_id, k.own_column, json_extract_string(v.extra, '$."' || k.own_column || '"') as own_word
    from accepted.vessels v, unnest(json_keys(v.extra)) as k(own_column)
),
place as (
    select engine_id, vessel_id, row_number() over (partition by engine_id order by from_on desc) as from_last from derived.engine_places
),
boat as (
    select vessel_id, concat_ws(' ', vessel_id, name) as label from accepted.vessels
),
thing as (
    select 1 as rank, 'boat' as found, v.vessel_id as id, b.label, 'id' as met_by, v.vessel_id as said, v.vessel_id,
           cast(null as varchar) as component, cast(null as date) as on_date, false as in_note
    from accepted.vessels v join boat b using (vessel_id)
    union all
    select 1, 'boat', vessel_id, label, 'name', v.name, vessel_id, null, null, false
    from accepted.vessels v join boat b using (vessel_id) where v.name is not null
    union all
    select 1, 'boat', vessel_id, label, 'old name: ' || f.name, f.name, vessel_id, null, null, false
    from about.former_names f join boat b using (vessel_id)
    union all
    select 1, 'boat', vessel_id, label, replace(own_column, '_', ' '), own_word, vessel_id, null, null, false
    from own join boat b using (vessel_id) where own_word is not null
    union all
    select 2, 'engine', e.engine_id, concat_ws(', ', e.engine_id, e.engine_model, 'boat ' || p.vessel_id), 'id', e.engine_id, p.vessel_id,
           null, null, false
    from accepted.engines e left join place p on p.engine_id = e.engine_id and p.from_last = 1
    union all
    select 3, 'part', w.code, w.code, case when w.word = w.code then 'name' else 'word: ' || w.word end, w.word, null, w.code, null, false
    from part_words w where exists (select 1 from derived.lives l where l.component = w.code)
    union all
    select 4, 'stocked part', p.part_id, concat_ws(', ', p.part_id, p.component), 'id', p.part_id, null, p.component, null, false
    from accepted.parts p
    union all
    select 5, 'call', c.call_id, concat_ws(', ', case when c.symptom = 'uncoded' then c.symptom_as_written else c.symptom end,
           case when c.cause = 'uncoded' then c.cause_as_written else c.cause end, c.outcome), 'id', c.call_id, c.vessel_id, c.component,
           cast(c.called_at as date), false
    from accepted.rescue_calls c
    union all
    select 5, 'call', c.call_id, c.notes, 'note', c.notes, c.vessel_id, c.component, cast(c.called_at as date), true
    from accepted.rescue_calls c where c.notes is not null
    union all
    select 6, 'ticket', t.ticket_id, concat_ws(', ', case when t.component = 'uncoded' then t.component_as_written else t.component end,
           case when t.action = 'uncoded' then t.action_as_written else t.action end, t.reason), 'id', t.ticket_id,
           coalesce(t.vessel_id, p.vessel_id), t.component, t.done_on, false
    from accepted.service_tickets t left join place p on p.engine_id = t.engine_id and p.from_last = 1
    union all
    select 6, 'ticket', t.ticket_id, t.notes, 'note', t.notes, coalesce(t.vessel_id, p.vessel_id), t.component, t.done_on, true
    from accepted.service_tickets t left join place p on p.engine_id = t.engine_id and p.from_last = 1 where t.notes is not null
),
folded as (
    select t.*, trim(regexp_replace(strip_accents(lower(said)), '[^\pL\pN]+', ' ', 'g')) as plain from thing t
),
met as (
    select f.*, a.words,
           case when replace(plain, ' ', '') = replace(words, ' ', '') then 0
                when starts_with(replace(plain, ' ', ''), replace(words, ' ', '')) and not in_note then 1
                when in_note then 3
                else 2 end as nearness
    from folded f, asked a
    where words <> ''
      and (len(list_filter(string_split(words, ' '), lambda w: not contains(' ' || plain, ' ' || w))) = 0
           or (not in_note and starts_with(replace(plain, ' ', ''), replace(words, ' ', ''))))
),
once as (
    select *, row_number() over (partition by found, id, vessel_id, case when in_note then label end order by nearness, met_by) as way from met
)
select found, id, label, met_by, vessel_id, component, on_date as "on", nearness,
       count(*) over (partition by found) as of_sort, row_number() over (partition by found order by nearness, on_date desc, id) as place
from once
where way = 1
qualify place <= $most
order by min(nearness) over (partition by found), rank, place
