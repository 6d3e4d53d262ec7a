-- doubtful_pairs: calls and ticket lines that may be one breakdown, for a person to say.
-- grain    one row per doubtful match
-- reads    derived.calls_once, jobs, match_found, matches
-- gives    what both rows say;  doubt  why it is not sure, in words
-- because  whoever was there knows; once settled it is never asked again.
select m.call_row_id, m.ticket_row_id, c.vessel_id, c.engine_id as call_engine_id, j.engine_id as ticket_engine_id,
       c.called_on, j.done_on, f.days, c.symptom, c.cause as call_cause, c.part as call_component, c.outcome,
       j.component, j.work, j.reason, j.finding, m.score,
       case when f.put_right then 'the call ended without a tow, the work says nothing of it'
            when f.work_fits < 1.0 then 'the ticket does not say that the part failed'
            when not f.likely then 'the part is not known to show as what the caller saw'
            else 'another ticket or call fits nearly as well' end as doubt
from derived.matches m
join derived.match_found f on f.call_row_id = m.call_row_id
join derived.calls_once c on c.row_id = m.call_row_id
join derived.jobs j on j.row_id = m.ticket_row_id
where m.certainty = 'doubtful'
