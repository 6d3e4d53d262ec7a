-- adoptions: every interval that ever became the plan: who, when, why, on which evidence, and whether it still stands.
-- grain    one row per row of the plan that came in, corrected and undone ones too; repeated ones are told once, by their first row
-- reads    received.rows, received.imports, received.adoptions, held.plan
-- gives    evidence_version, figures  the ledger version and the verdict it was adopted on, as it was then (JSON); empty: it came in a file
-- because  records grow and methods change, so what somebody signed is kept as it stood that day.
select
    r.row_id, p.component, coalesce(p.task, 'renew') as task, p.engine_model, p.base, p.every_h, p.every_months,
    p.adopted_on, p.adopted_by, p.reason, r.fate, r.import_id, i.taken_by, i.taken_at, i.undone_by, i.undone_at,
    a.evidence_version, a.figures
from received.rows r
join held.plan p on p.row_id = r.row_id
join received.imports i on i.import_id = r.import_id
left join received.adoptions a on a.row_id = r.row_id
where r.kind = 'plan' and r.fate in ('accepted', 'superseded', 'undone')
order by r.row_id
