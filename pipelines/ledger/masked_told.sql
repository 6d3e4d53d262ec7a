-- masked_told: how much was masked in an import before it was stored.
-- grain    one row
-- reads    received.files; $import, the import
-- gives    the columns masked_names, masked_telephones, masked_emails, masked_marks; 0 where nothing was
-- because  who sends records is told what of them is not kept.
select coalesce(sum(masked_names), 0)::bigint as masked_names, coalesce(sum(masked_telephones), 0)::bigint as masked_telephones,
       coalesce(sum(masked_emails), 0)::bigint as masked_emails, coalesce(sum(masked_marks), 0)::bigint as masked_marks
from received.files where import_id = $import
