-- match_candidates: the odds that a job is of a call's breakdown.
-- grain    one row per pair of match_pairs that nobody said no to
-- reads    derived.match_delays, match_pairs, settled_jobs
-- gives    odds  one breakdown against chance
-- because  evidence is weighed as in record linkage (Fellegi & Sunter 1969): how often a breakdown would look so, over how often an
--          unrelated job would fall there; the second, and the delays, are learned from the fleet's own records. The weights written here
--          are common practice, no source: 19 calls in 20 that name a part leave a ticket, nine in ten that say it was mechanical, of
--          others as many as are of a part (match_symptoms); put right aboard, half of those that name a part and one in eight of the
--          others. Four of five breakdowns are written up as failed, one in twenty as planned work, which then stands alone on its day
--          in nine of ten cases. A meter that shows the hours of the call on a ticket dated days later is six times likelier on one typed
--          late.
with weighed as (
    select p.*, d.share / p.delay_days as comes_then,
           case when put_right and named then 1.0 when put_right then 0.14
                when named then 19.0 when mechanical then 9.0 else part_odds end as written_up,
           case when put_right and says in ('failed', 'mended') then 0.4 when put_right then 0.1
                when says = 'failed' then 0.8 when says in ('booked', 'unsaid', 'mended') then 0.05
                else 0.02 end as says_so,
           case when says not in ('booked', 'unsaid', 'condition') then 1.0 when company then 0.1 else 0.9 end as stands_so,
           case when named or likely then 0.95 else 0.5 end as shows_so,
           case when sure_engine then 1.0 else 0.9 end as engine_fits,
           case when hours_agree then 6.0 else 1.0 end as meter_fits
    from derived.match_pairs p
    join derived.match_delays d on d.delay = p.delay
)
select w.call_row_id, w.job_row_id, w.days, w.named, w.likely, w.put_right, w.says, w.company,
       w.written_up * w.says_so * w.stands_so * w.comes_then * w.shows_so * w.engine_fits * w.meter_fits / (w.per_day * w.jobs_like_it)
       as odds,
       false as settled
from weighed w
left join derived.settled_jobs n on n.call_row_id = w.call_row_id and n.job_row_id = w.job_row_id and not n.same
where n.call_row_id is null
