-- put_offs: every task of a position that somebody put off: who, when, why, until when, and who took it back.
-- grain    one row per put-off that was ever written down, those taken back too
-- reads    received.put_offs, received.imports
-- gives    undone_by, undone_at  empty: it stands
-- because  what was put off is answered for by name, also after the work was done or the put-off was taken back.
select
    p.put_off_no, p.engine_id, p.vessel_id, p.component, p.position, p.task, p.until_on, p.until_h, p.put_off_on, p.put_off_by, p.because,
    p.due_on, p.import_id, i.taken_at, i.undone_by, i.undone_at
from received.put_offs p
join received.imports i on i.import_id = p.import_id
order by p.put_off_no
