-- renewals: every ticket job that put a new part in, and what it says of the old one.
-- grain    one row per job of renewing or fitting
-- reads    derived.calls_once, findings, jobs, matches; accepted.cause_tree
-- gives    done_on  the new part went in;  ended_on  the old one came out or had failed, by its call;  ending  of the old life;
--          first_fitting  nothing was said of an old part;  doubtful
-- because  the rules of lives, in this order: damage from outside is no wear; the reason failed, or a call naming the part, is a failure; a
--          part found failed with no call had failed some time before; on condition it was about to; the rest is a suspension (worn is what
--          a planned renewal expects).
with told as (
    select j.position_no, j.row_id, j.done_on, j.reason, j.said_fit, j.cause as job_cause, j.lines,
           case when f.position_no is not null then 'failed' else j.finding end as finding,
           m.certainty, c.row_id as call_row_id, c.called_on, c.cause as call_cause,
           m.certainty = 'certain'
           and ((c.part = j.component and c.effect = 'failure')
                or (c.part is null and c.cause is null and coalesce(c.outcome, 'towed') not in ('fixed aboard', 'nothing done')
                    and coalesce(j.finding, 'worn') not in ('sound', 'no fault found'))) as call_fails,
           t.effect = 'outside damage' or (m.certainty = 'certain' and c.part = j.component and c.effect = 'outside damage') as from_outside
    from derived.jobs j
    left join derived.matches m on m.ticket_row_id = j.row_id
    left join derived.calls_once c on c.row_id = m.call_row_id
    left join accepted.cause_tree t on t.cause = j.cause
    left join (select distinct position_no, on_date from derived.findings where failed) f
      on f.position_no = j.position_no and f.on_date = j.done_on and coalesce(j.finding, '') <> 'outside damage'
    where j.work = 'renew'
),
ruled as (
    select *,
           case when finding = 'outside damage' or from_outside then 'outside damage'
                when reason = 'failed' or call_fails then 'failed'
                when finding = 'failed' and certainty = 'certain' then 'failed'
                when finding = 'failed' then 'found failed'
                when reason = 'condition' then 'condition'
                when reason = 'opportunistic' then 'opportunistic'
                else 'planned' end as ending
    from told
)
select position_no, row_id, done_on, ending,
       case when ending in ('failed', 'outside damage') then coalesce(called_on, done_on) else done_on end as ended_on,
       case when certainty = 'certain' or ending in ('failed', 'outside damage') then call_row_id end as call_row_id,
       case when ending in ('failed', 'outside damage') then coalesce(call_row_id, row_id) else row_id end as end_row_id,
       case when ending in ('failed', 'found failed', 'condition', 'outside damage') then coalesce(job_cause, call_cause) end as cause,
       said_fit and reason is null and finding is null as first_fitting,
       reason is null and ending = 'planned' as reason_not_given,
       coalesce(certainty = 'doubtful', false)
       or coalesce(reason is null and ending = 'planned', false)
       or coalesce(reason in ('failed', 'condition') and finding in ('sound', 'no fault found'), false) as doubtful
from ruled
