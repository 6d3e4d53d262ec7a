-- stoppages: when boats could not be used, each time counted once.
-- grain    one row per boat and stoppage
-- reads    derived.calls, engine_places, matches; accepted.service_tickets
-- gives    downtime_h  hours the boat could not be used, empty: not written;  sort  call, failure (a ticket without a call) or planned
-- because  a call and the ticket of its breakdown tell of one stoppage, and the longer of their downtimes holds. Papers of one boat less than
--          four days apart are one stoppage, since one job stands on several. Work without a call may have stopped no boat: it counts only
--          where it says how long.
with papers as (
    select t.row_id, coalesce(t.vessel_id, p.vessel_id) as vessel_id, t.done_on, t.downtime_h,
           case when t.reason = 'failed' or t.finding = 'failed' then 1 else 0 end as failed
    from accepted.service_tickets t
    left join derived.engine_places p on p.engine_id = t.engine_id and p.from_on <= t.done_on and (p.to_on is null or t.done_on < p.to_on)
),
said as (
    select vessel_id, done_on, max(failed) as failed, max(downtime_h) as downtime_h, min(row_id) as row_id
    from papers
    where vessel_id is not null and done_on is not null
    group by vessel_id, done_on
),
telling as (
    select *, lag(done_on) over (partition by vessel_id order by done_on) as last_on
    from said
    where failed = 1 or downtime_h > 0
),
numbered as (
    select *, sum(case when date_diff('day', last_on, done_on) <= 3 then 0 else 1 end)
                  over (partition by vessel_id order by done_on rows between unbounded preceding and current row) as stop_no
    from telling
),
stops as (
    select vessel_id, stop_no, min(done_on) as on_date, max(failed) as failed, max(downtime_h) as downtime_h, min(row_id) as row_id
    from numbered
    group by vessel_id, stop_no
),
called as (
    select c.row_id, c.vessel_id, c.called_on, c.downtime_h, n.stop_no
    from derived.calls c
    left join derived.matches m on m.call_row_id = c.row_id and m.certainty in ('certain', 'doubtful')
    left join papers p on p.row_id = m.ticket_row_id
    left join numbered n on n.vessel_id = p.vessel_id and n.done_on = p.done_on
),
of_calls as (
    select c.vessel_id, c.called_on as on_date, greatest(c.downtime_h, s.downtime_h) as downtime_h, 'call' as sort, c.row_id
    from called c
    left join stops s on s.vessel_id = c.vessel_id and s.stop_no = c.stop_no
),
of_papers as (
    select s.vessel_id, s.on_date, s.downtime_h, case when s.failed = 1 then 'failure' else 'planned' end as sort, s.row_id
    from stops s
    where not exists (select 1 from called c where c.vessel_id = s.vessel_id and c.stop_no = s.stop_no)
)
select vessel_id, on_date, cast(date_trunc('month', on_date) as date) as month, downtime_h, sort, row_id from of_calls
union all
select vessel_id, on_date, cast(date_trunc('month', on_date) as date), downtime_h, sort, row_id from of_papers
order by vessel_id, on_date, row_id
