-- match_rates: how often a job of each sort falls on a day of the season, whatever was called in.
-- grain    one row per component, what the job says and whether it had company
-- reads    derived.boats, calls_once, match_jobs, parameters, watches
-- gives    jobs;  per_day  of the season one boat's day is worth, in jobs: multiply by jobs
-- because  a job that a boat has every week says little when it follows a call; one it has once in ten years says much. Calls and jobs
--          keep to the same months, so a day of the season counts for more than one of the year.
with months as (
    select unnest(generate_series(1, 12)) as month_of_year
),
called as (
    select extract(month from called_on) as month_of_year, count(*) as calls from derived.calls_once group by extract(month from called_on)
),
worked as (
    select extract(month from done_on) as month_of_year, count(*) as jobs from derived.match_jobs group by extract(month from done_on)
),
shares as (
    select (coalesce(c.calls, 0) + 1.0) / (sum(coalesce(c.calls, 0)) over () + 12) as of_calls,
           (coalesce(w.jobs, 0) + 1.0) / (sum(coalesce(w.jobs, 0)) over () + 12) as of_jobs
    from months m
    left join called c on c.month_of_year = m.month_of_year
    left join worked w on w.month_of_year = m.month_of_year
),
watched as (
    select greatest(sum(date_diff('day', w.tickets_from_on, coalesce(b.withdrawn_on, p.as_of))), 1) as days
    from derived.watches w
    join derived.boats b on b.vessel_id = w.vessel_id
    cross join derived.parameters p
    where w.tickets_from_on < coalesce(b.withdrawn_on, p.as_of)
),
pace as (
    select (select 12 * sum(of_calls * of_jobs) from shares) / (select days from watched) as per_day
)
select j.component, j.says, j.company, count(*) as jobs, min(p.per_day) as per_day
from derived.match_jobs j
cross join pace p
group by j.component, j.says, j.company
