-- match_jobs: what was done, as a call's breakdown may have led to it.
-- grain    one row per job, and per ticket line of a boat with several engines that does not say which
-- reads    derived.jobs, placed_lines, record_engines
-- gives    says  failed, found, condition, unsaid, booked (planned or in passing), mended or look;  company  other renewals of that boat
--          and day that tell of no failure;  position_no, engine_id  empty: the line does not say which engine
-- because  which call a line answers can be plain where its engine is not. A breakdown booked as planned work stands alone, a service
--          renews several parts.
with every as (
    select j.position_no, j.row_id, j.work, j.done_on, j.meter_h, j.carried_by, j.engine_id, j.vessel_id, j.component, j.reason,
           j.finding, j.cause
    from derived.jobs j
    union all
    select null, l.row_id, case when l.turn_over then 'renew' else l.action end, l.done_on, l.meter_h, l.carried_by, null, l.vessel_id,
           l.component, l.reason, l.finding, case when l.cause not in ('unknown', 'uncoded') then l.cause end
    from derived.placed_lines l
    join derived.record_engines r on r.row_id = l.row_id
    where l.problem is not null and l.carried_by = 'engine' and r.engines_aboard > 1
      and l.component <> 'uncoded' and l.action <> 'uncoded'
),
said as (
    select *,
           case when work = 'renew' and (reason = 'failed' or finding in ('failed', 'outside damage')) then 'failed'
                when work = 'renew' and reason = 'condition' then 'condition'
                when work = 'renew' and reason is null and finding is null then 'unsaid'
                when work = 'renew' then 'booked'
                when work in ('repair', 'clean', 'adjust', 'top up') then 'mended'
                when finding = 'failed' then 'found'
                else 'look' end as says
    from every
)
select *,
       case when says in ('booked', 'unsaid', 'condition')
            then sum(case when says in ('booked', 'unsaid', 'condition') then 1 else 0 end) over (partition by vessel_id, done_on) - 1
            else 0 end > 0 as company
from said
