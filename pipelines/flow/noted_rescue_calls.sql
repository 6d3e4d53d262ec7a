-- noted_rescue_calls: calls with free text, whose codes are learned from or suggested.
-- grain    one row per accepted call with notes
-- reads    accepted.rescue_calls, cause_tree
-- gives    the codes as they stand; of each column <column>_missed, whether a code is missed where there is none
-- because  what a fleet coded itself says best what its words mean; the latest first, for words change. A part is missed only where the
--          cause does not say that none is at fault, or which.
select c.row_id, c.notes, c.symptom, c.cause, c.component,
       true as symptom_missed, true as cause_missed, true as system_missed, t.cause is null as component_missed
from accepted.rescue_calls c
left join accepted.cause_tree t on t.cause = c.cause and t.system <> 'unknown'
where c.notes is not null
order by c.called_at desc, c.row_id desc
