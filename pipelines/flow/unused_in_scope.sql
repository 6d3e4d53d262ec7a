-- unused_in_scope: how many accepted rows, positions and lives no life or rate could be made from, under the filters of a question.
-- grain    one row
-- reads    derived.left_out_of_lives; accepted.engines, rescue_calls, vessels; $base, $vessel_class, $engine_model, $component (empty: any);
--          $calls_only, whether only calls touch the answer
-- gives    rows
-- because  what is missing from a figure is counted beside it, and only that. What names no boat or part may belong to any, so it counts.
select count(*) as rows
from derived.left_out_of_lives u
left join accepted.vessels b on b.vessel_id = u.vessel_id
left join accepted.engines e on e.engine_id = u.engine_id
where ($component is null or u.component is null or u.component = $component)
  and ($base is null or u.vessel_id is null or b.base = $base)
  and ($vessel_class is null or u.vessel_id is null or b.vessel_class = $vessel_class)
  and ($engine_model is null or u.engine_id is null or e.engine_model = $engine_model)
  and (not $calls_only or u.row_id in (select c.row_id from accepted.rescue_calls c))
