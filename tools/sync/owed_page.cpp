#include "tools/sync/owed_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/time_text.hpp"

namespace nestcup {
namespace {

std::string ago(TimeUs since_us, TimeUs now_us) {
  const double s = to_s(now_us - since_us);
  if (s < 0.0) return "since later than now (was the clock set back?)";
  if (s < 120.0) return fmt::format("for {:.0f} s", s);
  if (s < 7200.0) return fmt::format("for {:.0f} min", s / 60.0);
  if (s < 172'800.0) return fmt::format("for {:.0f} h", s / 3600.0);
  return fmt::format("for {:.0f} days", s / 86'400.0);
}

std::string line_of(const OwedRevision& owed, TimeUs now_us) {
  std::string line = fmt::format("  run {} revision {}: {} {}", owed.run_number, owed.revision,
                                 owed.blocked ? "blocked" : "owed", ago(owed.since_us, now_us));
  if (owed.attempts > 0) {
    line += fmt::format(", {} attempt{} failed: {}", owed.attempts, owed.attempts == 1 ? "" : "s",
                        owed.reason);
    if (!owed.blocked && owed.next_try_us > now_us) {
      line += fmt::format("; next in {:.0f} s", to_s(owed.next_try_us - now_us));
    }
  }
  return line + "\n";
}

}  // namespace

Result<std::vector<OwedToNotebook>> owed_in(const Store& store,
                                            const std::vector<std::string>& notebooks, int most) {
  const OutboxView outbox(store);
  const auto counts = outbox.counts();
  if (!counts) return counts.error();
  std::vector<OwedToNotebook> found;
  for (const NotebookCount& count : *counts) {
    const bool wanted = notebooks.empty() || std::find(notebooks.begin(), notebooks.end(),
                                                       count.notebook) != notebooks.end();
    if (!wanted) continue;
    auto first = outbox.owed(count.notebook, 0, most);
    if (!first) return first.error();
    found.push_back({count, std::move(*first)});
  }
  return found;
}

std::string owed_page(const std::vector<OwedToNotebook>& notebooks, TimeUs now_us) {
  if (notebooks.empty()) return "no notebook: the bench file names none, or no daemon ran yet\n";
  std::string text;
  for (const OwedToNotebook& one : notebooks) {
    const NotebookCount& count = one.count;
    text += fmt::format("{}: {} carried, {} owed, {} blocked{}\n", count.notebook, count.carried,
                        count.owed, count.blocked, count.in_use ? "" : " (no longer in use)");
    for (const OwedRevision& owed : one.first) text += line_of(owed, now_us);
    const auto shown = static_cast<int>(one.first.size());
    if (count.owed + count.blocked > shown) {
      text += fmt::format("  and {} more\n", count.owed + count.blocked - shown);
    }
  }
  return text;
}

Json owed_json(const std::vector<OwedToNotebook>& notebooks) {
  Json list = Json::array();
  for (const OwedToNotebook& one : notebooks) {
    Json revisions = Json::array();
    for (const OwedRevision& owed : one.first) {
      revisions.push_back(
          {{"number", owed.run_number},
           {"id", owed.run_id},
           {"revision", owed.revision},
           {"state", owed.blocked ? "blocked" : "owed"},
           {"since", rfc3339(owed.since_us)},
           {"attempts", owed.attempts},
           {"next_try", owed.next_try_us > 0 ? Json(rfc3339(owed.next_try_us)) : Json(nullptr)},
           {"reason", owed.reason}});
    }
    list.push_back({{"name", one.count.notebook},
                    {"in_use", one.count.in_use},
                    {"carried", one.count.carried},
                    {"owed", one.count.owed},
                    {"blocked", one.count.blocked},
                    {"revisions", std::move(revisions)}});
  }
  return {{"notebooks", std::move(list)}};
}

}  // namespace nestcup
