-- calendar: the months of the fleet's life.
-- grain    one row per calendar month from the first engine to the day after the last day known
-- reads    derived.parameters; accepted.engines
-- gives    month  its first day;  next_month  the first day of the one after
-- because  rates, use and seasons are told by month.
with span as (
    select min(e.commissioned_on) as from_on, max(p.as_of) as to_on
    from accepted.engines e cross join derived.parameters p
    where e.commissioned_on <= p.as_of
),
months as (
    select unnest(generate_series(date_trunc('month', from_on), date_trunc('month', to_on + interval 1 day), interval 1 month)) as first_day
    from span
)
select cast(first_day as date) as month, cast(first_day + interval 1 month as date) as next_month from months
