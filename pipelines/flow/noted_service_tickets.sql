-- noted_service_tickets: ticket lines with free text, whose codes are learned from or suggested.
-- grain    one row per accepted line with notes
-- reads    accepted.service_tickets
-- gives    the codes as they stand; of each column <column>_missed, whether a code is missed where there is none
-- because  what a fleet coded itself says best what its words mean; the latest first, for words change. Only what failed has a cause.
select row_id, notes, component, cause, finding,
       component_as_written is not null as component_missed,
       coalesce(finding in ('failed', 'outside damage') or reason = 'failed', false) as cause_missed
from accepted.service_tickets
where notes is not null
order by done_on desc, row_id desc
