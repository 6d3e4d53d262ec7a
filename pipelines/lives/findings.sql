-- findings: what inspections and tests found.
-- grain    one row per job of looking or testing whose finding was written
-- reads    derived.calls_once, jobs, matches
-- gives    works  it had not failed (sound, worn, no fault found);  failed_on, call_row_id  when a call had already told of it
-- because  a sound finding says the part lasted at least so long; a failed one that it had failed by then.
select j.position_no, j.row_id, j.done_on as on_date, j.finding in ('sound', 'worn', 'no fault found') as works,
       j.finding = 'failed' as failed, j.cause,
       case when m.certainty = 'certain' and c.part = j.component then c.called_on end as failed_on,
       case when m.certainty = 'certain' and c.part = j.component then c.row_id end as call_row_id
from derived.jobs j
left join derived.matches m on m.ticket_row_id = j.row_id
left join derived.calls_once c on c.row_id = m.call_row_id
where j.work in ('inspect', 'test') and j.finding in ('sound', 'worn', 'no fault found', 'failed')
