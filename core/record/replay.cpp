#include "core/record/replay.hpp"

#include "core/record/export_facts.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"

namespace nestcup {
namespace {

RecordContext context_of(const Trace& trace, const std::optional<ExportFacts>& facts,
                         const std::optional<Sheet>& sheet) {
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
  if (sheet) context.sheet = sheet_facts(*sheet);
  return context;
}

/// The sheet that the options name, else the one that the export carries.
std::optional<Sheet> sheet_of(const ReplayOptions& options,
                              const std::optional<ExportFacts>& facts) {
  if (options.sheet) return options.sheet;
  if (!facts || facts->sheet_text.empty()) return std::nullopt;
  auto sheet = parse_sheet(facts->sheet_text, "the export's sheet");
  if (!sheet) return std::nullopt;
  return std::move(sheet).value();
}

/// Which trial of the sheet the runs are for. An export's own number stays.
class Trial {
 public:
  Trial(const std::optional<Sheet>& sheet, const ReplayOptions& options, const Json& exported)
      : sheet_(sheet) {
    const std::string own = exported.is_null() ? "" : exported.at("name").get<std::string>();
    const std::string name = options.trial.value_or(own);
    if (sheet_) trial_ = sheet_->find(name);
    if (!exported.is_null() && name == own) number_ = exported.at("number").get<int>();
  }

  void give(Json& record, std::size_t run) const {
    if (trial_) give_to_trial(record, *sheet_, *trial_, number_.value_or(static_cast<int>(run)));
  }

 private:
  const std::optional<Sheet>& sheet_;
  const SheetTrial* trial_ = nullptr;
  std::optional<int> number_;
};

/// A follower that has been told what export and options say, and has no readings yet.
RunFollower follower_of(const Trace& trace, const ReplayOptions& options,
                        const std::optional<ExportFacts>& facts) {
  RunFollower::Settings settings;
  settings.after_period_s = facts ? facts->after_period_s : options.after_period_s;
  settings.heater = options.heater || (facts && facts->heater);
  RunFollower follower(settings, trace.roles);
  const auto mark_s = options.mark_s ? options.mark_s : (facts ? facts->mark_s : std::nullopt);
  const bool by_export = facts && !options.mark_s;
  if (mark_s) follower.mark(to_us(*mark_s), by_export ? facts->marked_by : FoundBy::mark);
  return follower;
}

/// @param take  what to do behind each reading, and at the end
void feed(const Trace& trace, const std::optional<ExportFacts>& facts, RunFollower& follower,
          const std::function<void()>& take) {
  for (const Reading& reading : trace.readings) {
    follower.feed(reading);
    take();
  }
  // Where the readings of an export end, its run was ended, by hand or by another mixing.
  if (!facts || !follower.finish()) follower.end_of_data();
  take();
}

}  // namespace

std::vector<ReplayedRun> replay_trace(const Trace& trace, const ReplayOptions& options,
                                      const std::function<std::string()>& next_id) {
  const std::optional<ExportFacts> facts = export_facts(trace.comments);
  RunFollower follower = follower_of(trace, options, facts);
  const std::optional<Sheet> sheet = sheet_of(options, facts);
  const RecordContext context = context_of(trace, facts, sheet);
  const Trial trial(sheet, options, context.trial);
  std::vector<ReplayedRun> runs;
  const auto take = [&] {
    while (auto run = follower.take_finished()) {
      if (facts) run->cut_by_next = facts->cut_by_next;
      auto made = make_record(*run, trace.roles, context, next_id(), 0);
      trial.give(made.record, runs.size() + 1);
      runs.push_back({std::move(*run), std::move(made)});
    }
  };
  feed(trace, facts, follower, take);
  return runs;
}

std::string last_withdrawal(const Trace& trace, const ReplayOptions& options) {
  const std::optional<ExportFacts> facts = export_facts(trace.comments);
  RunFollower follower = follower_of(trace, options, facts);
  feed(trace, facts, follower, [] {});
  return follower.last_withdrawal();
}

}  // namespace nestcup
