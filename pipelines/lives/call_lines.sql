-- call_lines: calls with their boat, engine and part, and which of them tell of the same breakdown.
-- grain    one row per accepted call up to the last day known
-- reads    derived.record_engines; accepted.cause_tree, rescue_calls
-- gives    part  the component that failed, from the call or its cause, empty: not said;  effect  failure, outside damage or goes on;
--          first_row_id  the call it is counted with, itself if it is counted
-- because  the same call is logged twice: same boat and day, symptom, cause and part the same or not given. The one that says more counts.
with calls as (
    select c.row_id, r.engine_id, r.vessel_id, cast(c.called_at as date) as called_on, c.meter_h, c.outcome,
           nullif(nullif(c.symptom, 'uncoded'), 'unknown') as symptom,
           case when t.system <> 'unknown' or t.component <> '' then c.cause end as cause,
           nullif(c.component, 'uncoded') as component, nullif(t.component, '') as cause_component, 
           case when t.system <> 'unknown' or t.component <> '' then t.effect end as cause_effect
    from accepted.rescue_calls c
    join derived.record_engines r on r.row_id = c.row_id
    left join accepted.cause_tree t on t.cause = c.cause
),
weighed as (
    select *,
           case when symptom is null then 0 else 1 end + case when cause is null then 0 else 1 end
           + case when component is null then 0 else 1 end + case when engine_id is null then 0 else 1 end as says
    from calls
),
alike as (
    select b.row_id, a.row_id as better_row_id, a.says
    from weighed a
    join weighed b
      on b.vessel_id = a.vessel_id and b.called_on = a.called_on and b.row_id <> a.row_id
     and (a.says > b.says or (a.says = b.says and a.row_id < b.row_id))
     and (a.engine_id = b.engine_id or a.engine_id is null or b.engine_id is null)
     and (a.symptom = b.symptom or a.symptom is null or b.symptom is null)
     and (a.cause = b.cause or a.cause is null or b.cause is null)
     and (a.component = b.component or a.component is null or b.component is null)
),
firsts as (
    select k.row_id, min(k.better_row_id) as first_row_id
    from alike k
    left join alike x on x.row_id = k.better_row_id
    where x.row_id is null
    group by k.row_id
),
told as (
    select w.*, coalesce(f.first_row_id, w.row_id) as first_row_id
    from weighed w
    left join firsts f on f.row_id = w.row_id
)
select row_id, first_row_id, vessel_id, called_on,
       max(engine_id) over same as engine_id, max(meter_h) over same as meter_h,
       max(symptom) over same as symptom, max(cause) over same as cause, outcome,
       coalesce(max(component) over same, max(cause_component) over same) as part,
       coalesce(max(cause_effect) over same, case when max(component) over same is not null then 'failure' end) as effect
from told
window same as (partition by first_row_id)
