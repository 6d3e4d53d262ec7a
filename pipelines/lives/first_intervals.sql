-- first_intervals: the interval by which a part that came with its engine would have been renewed.
-- grain    one row per component, engine model and base that has one
-- reads    derived.boats, positions, watches; accepted.limits, plan
-- gives    every_h, every_months  of the plan in force when the records of that base began, else of the maker's limit
-- because  an engine younger than that when its records began still had its original part. What was adopted later renewed nothing before.
with begun as (
    select b.base, min(w.tickets_from_on) as begun_on
    from derived.watches w
    join derived.boats b on b.vessel_id = w.vessel_id
    group by b.base
),
places as (
    select distinct p.component, p.engine_model, p.base, g.begun_on
    from derived.positions p
    left join begun g on g.base is not distinct from p.base
),
offers as (
    select w.component, w.engine_model, w.base, p.every_h, p.every_months,
           row_number() over (
               partition by w.component, w.engine_model, w.base
               order by case when p.engine_model is null then 1 else 0 end, case when p.base is null then 1 else 0 end,
                        coalesce(p.adopted_on, date '1900-01-01') desc, p.row_id desc
           ) as choice
    from places w
    join accepted.plan p
      on p.component = w.component and coalesce(p.task, 'renew') = 'renew'
     and (p.engine_model is null or p.engine_model = w.engine_model) and (p.base is null or p.base = w.base)
     and (p.adopted_on is null or p.adopted_on <= w.begun_on)
),
limited as (
    select w.component, w.engine_model, w.base, l.max_h, l.max_months,
           row_number() over (
               partition by w.component, w.engine_model, w.base order by case when l.engine_model is null then 1 else 0 end, l.row_id desc
           ) as choice
    from places w
    join accepted.limits l
      on l.component = w.component and l.task = 'renew' and (l.engine_model is null or l.engine_model = w.engine_model)
),
both_kinds as (
    select component, engine_model, base, every_h, every_months, 0 as rank from offers
    where choice = 1 and (every_h is not null or every_months is not null)
    union all
    select component, engine_model, base, max_h, max_months, 1 from limited
    where choice = 1 and (max_h is not null or max_months is not null)
)
select component, engine_model, base, every_h, every_months
from (select *, row_number() over (partition by component, engine_model, base order by rank) as choice from both_kinds) ranked
where choice = 1
