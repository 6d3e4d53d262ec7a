-- queue_suggestions: codes suggested for rows that came without, with what a person needs to judge them.
-- grain    one row per row and column
-- reads    derived.suggested_codes; accepted.rescue_calls, service_tickets; about.rows
-- gives    confidence, evidence  as suggested;  dated, vessel_id, notes  of the row;  file, line  where it stands
-- because  a suggestion is nothing until a person confirms it, so it comes with the row's own words.
select s.row_id, s.kind, s."column", s.code, s.confidence, s.evidence,
       coalesce(cast(c.called_at as date), t.done_on) as dated, coalesce(c.vessel_id, t.vessel_id) as vessel_id,
       coalesce(c.notes, t.notes) as notes, r.file, r.line
from derived.suggested_codes s
join about.rows r on r.row_id = s.row_id
left join accepted.rescue_calls c on c.row_id = s.row_id
left join accepted.service_tickets t on t.row_id = s.row_id
order by s.confidence desc, s.row_id, s."column"
