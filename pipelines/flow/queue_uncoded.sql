-- queue_uncoded: words that nobody has given a code yet.
-- grain    one row per code list and word
-- reads    about.uncoded
-- gives    rows  accepted rows that hold it
-- because  settling a word once settles all its rows, so the most frequent come first.
select list, word, rows from about.uncoded order by rows desc, list, word
