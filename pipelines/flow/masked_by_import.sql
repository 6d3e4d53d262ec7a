-- masked_by_import: what was masked in each import before it was stored.
-- grain    one row per import
-- reads    about.files
-- gives    names, telephone numbers, e-mail addresses and registration marks; empty: taken in before this was done
-- because  who sends records, and who reads figures made from them, can see what is not kept.
select import_id, sum(masked_names)::bigint as names, sum(masked_telephones)::bigint as telephone_numbers,
       sum(masked_emails)::bigint as email_addresses, sum(masked_marks)::bigint as registration_marks
from about.files
group by import_id
order by import_id desc
