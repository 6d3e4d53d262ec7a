-- life_evidence: the record rows each life rests on.
-- grain    one row per life, row and part it played
-- reads    derived.boats, call_lines, findings, job_lines, jobs, life_ages
-- gives    part_played  began, ended, sound finding, call or entry
-- because  a figure that cannot be traced to paper is not believed, and should not be.
with lives as (
    select * from derived.life_ages where left_out is null
),
job_rows as (
    select j.position_no, j.row_id as job_row_id, l.row_id
    from derived.jobs j
    join derived.job_lines l on l.position_no = j.position_no and l.work = j.work and l.job_no = j.job_no
),
played as (
    select l.life_id, j.row_id, 'began' as part_played
    from lives l
    join job_rows j on j.position_no = l.position_no and j.job_row_id = l.began_row_id
    where l.spell_no > 0
    union all
    select life_id, began_row_id, 'began' from lives where spell_no = 0 or after_lost
    union all
    select l.life_id, j.row_id, 'ended'
    from lives l
    join job_rows j on j.position_no = l.position_no and j.job_row_id = l.job_row_id
    union all
    select l.life_id, c.row_id, 'call'
    from lives l
    join derived.call_lines c on c.first_row_id = l.call_row_id
    union all
    select l.life_id, f.row_id, 'sound finding'
    from lives l
    join derived.findings f on f.position_no = l.position_no and f.on_date = l.sound_on and f.works
    where l.ending = 'found failed' or l.hidden
    union all
    select l.life_id, b.row_id, 'entry'
    from lives l
    join derived.boats b on b.vessel_id = l.last_vessel_id
    where l.entry_on > l.began_on and b.tickets_from_on is not null
)
select distinct life_id, row_id, part_played from played where row_id is not null
