-- fitted_by: who fitted the part of each life, and from which batch.
-- grain    one row per life that began with a ticket line
-- reads    derived.life_evidence; accepted.service_tickets
-- gives    life_id, done_by, batch; empty: not written
-- because  a bad batch or a bad habit shows in lives that end soon after they began.
select e.life_id, max(t.done_by) as done_by, max(t.batch) as batch
from derived.life_evidence e
join accepted.service_tickets t on t.row_id = e.row_id
where e.part_played = 'began'
group by e.life_id
