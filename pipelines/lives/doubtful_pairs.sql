-- doubtful_pairs: calls and ticket lines that may be one breakdown, for a person to say.
-- grain    one row per doubtful match
-- reads    derived.calls_once, match_found, match_jobs, matches
-- gives    what both rows say;  doubt  why it is not sure, in words
-- because  whoever was there knows; once settled it is never asked again.
select m.call_row_id, m.ticket_row_id, c.vessel_id, c.engine_id as call_engine_id, j.engine_id as ticket_engine_id,
       c.called_on, j.done_on, f.days, c.symptom, c.cause as call_cause, c.part as call_component, c.outcome,
       j.component, j.work, j.reason, j.finding, m.score,
       case when f.odds / (1 + f.odds) >= 0.7 then 'another ticket or call fits nearly as well'
            when f.put_right then 'the call ended without a tow, so it may have left no ticket'
            when f.company then 'it was renewed at a service with other parts, not by itself'
            when f.says <> 'failed' then 'the ticket does not say that the part failed'
            when not f.named and not f.likely then 'the part is not known to show as what the caller saw'
            when f.days > 3 then 'the ticket is dated days after the call'
            else 'such a job is common enough to fall there by chance' end as doubt
from derived.matches m
join derived.match_found f on f.call_row_id = m.call_row_id and f.job_row_id = m.ticket_row_id
join derived.calls_once c on c.row_id = m.call_row_id
join derived.match_jobs j on j.row_id = m.ticket_row_id
where m.certainty = 'doubtful'
