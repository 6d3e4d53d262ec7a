-- queue_near_misses: words that were taken for the one known word they nearly are.
-- grain    one row per code list and word
-- reads    accepted.words
-- gives    code  what it was taken for
-- because  a guess of the program is looked over by a person, who may settle the word otherwise.
select list, word, code from accepted.words where how = 'near miss' order by list, word
