#include "core/record/replay.hpp"

namespace nestcup {
namespace {

RecordContext context_of(const Trace& trace, const ReplayOptions& options,
                         const std::optional<ExportFacts>& facts) {
  RecordContext context;
  if (facts) context = facts->context;
  if (!facts) {
    context.source = trace.name;
    for (const ProbeRole role : trace.roles) {
      ProbeFacts probe;
      probe.name = role_name(role);
      probe.role = role;
      context.probes.push_back(probe_json(probe));
    }
  }
  if (!options.sheet.is_null()) context.sheet = options.sheet;
  if (!options.trial.is_null()) context.trial = options.trial;
  return context;
}

}  // namespace

std::vector<ReplayedRun> replay_trace(const Trace& trace, const ReplayOptions& options,
                                      const std::function<std::string()>& next_id) {
  const std::optional<ExportFacts> facts = export_facts(trace.comments);
  RunFollower::Settings settings;
  settings.after_period_s = facts ? facts->after_period_s : options.after_period_s;
  settings.heater = options.heater || (facts && facts->heater);
  RunFollower follower(settings, trace.roles);
  const auto mark_s = options.mark_s ? options.mark_s : (facts ? facts->mark_s : std::nullopt);
  const bool by_export = facts && !options.mark_s;
  if (mark_s) follower.mark(to_us(*mark_s), by_export ? facts->marked_by : FoundBy::mark);

  RecordContext context = context_of(trace, options, facts);
  std::vector<ReplayedRun> runs;
  const auto take = [&] {
    while (auto run = follower.take_finished()) {
      if (facts) run->cut_by_next = facts->cut_by_next;
      if (!options.trial.is_null()) context.trial["number"] = runs.size() + 1;
      auto made = make_record(*run, trace.roles, context, next_id(), 0);
      runs.push_back({std::move(*run), std::move(made)});
    }
  };
  for (const Reading& reading : trace.readings) {
    follower.feed(reading);
    take();
  }
  // Where the readings of an export end, its run was ended, by hand or by another mixing.
  if (!facts || !follower.finish()) follower.end_of_data();
  take();
  return runs;
}

}  // namespace nestcup
