#include "daemon/bench/sheet_change.hpp"

#include <fmt/format.h>

#include "core/base/replaced_file.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"
#include "daemon/base/or_null.hpp"
#include "daemon/bench/next_trial.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Result<std::shared_ptr<const Sheet>> sheet_in_use(Bench& bench) {
  auto sheet = bench.trials().sheet();
  if (sheet) return sheet;
  return Error{Fault::usage,
               "the bench has no sheet; name one in the bench file and start the daemon anew"};
}

/// The file holds what the daemon goes by; nobody's work may be written over.
Result<void> check_unchanged(const Sheet& sheet) {
  const auto text = file_bytes(sheet.path);
  if (!text) return text.error();
  if (*text == sheet.text) return {};
  return Error{Fault::try_later,
               fmt::format("{}: was changed since the daemon took it up; nothing was set. Let it "
                           "take the file up as it is now (nestcup sheet reload), then set the "
                           "amount again",
                           sheet.path)};
}

void tell_amount(Bench& bench, const AmountRequest& request, const AmountEdit& edit,
                 const Sheet& before) {
  const AmountChange& change = request.change;
  bench.add_event("amount", {{"who", request.who},
                             {"trial", change.trial},
                             {"part", change.part},
                             {"key", change.key},
                             {"from", or_null(edit.before)},
                             {"to", or_null(change.value)},
                             {"reason", request.reason},
                             {"sheet_sha256_before", before.sha256},
                             {"sheet_sha256", edit.sheet.sha256}});
  bench.log()(fmt::format("sheet: {} {}.{} from {} to {} by {}", change.trial, change.part,
                          change.key, or_null(edit.before).dump(), or_null(change.value).dump(),
                          request.who));
}

Error all_in_one(const std::vector<Error>& problems) {
  Error error = problems.front();
  for (std::size_t i = 1; i < problems.size(); ++i) error.text += "; " + problems[i].text;
  return error;
}

}  // namespace

Result<Json> set_amount(Bench& bench, Store& store, const AmountRequest& request) {
  const auto in_use = sheet_in_use(bench);
  if (!in_use) return in_use.error();
  const Sheet& sheet = **in_use;
  if (auto same = check_unchanged(sheet); !same) return same.error();
  const auto edit = edit_amount(sheet, request.change);
  if (!edit) return edit.error();
  const bool changes = edit->sheet.text != sheet.text;
  if (changes) {
    const auto kept = store.keep_sheet(stored_sheet(sheet, bench.clock().wall_us()));
    if (!kept) return kept.error();
    if (auto put = replace_file(sheet.path, edit->sheet.text); !put) return put.error();
    if (auto used = bench.use_sheet(edit->sheet, store); !used) return used.error();
    tell_amount(bench, request, *edit, sheet);
  }
  return Json{{"trial", request.change.trial},
              {"part", request.change.part},
              {"key", request.change.key},
              {"before", or_null(edit->before)},
              {"value", or_null(request.change.value)},
              {"changed", changes},
              {"sheet", sheet_facts(edit->sheet)}};
}

Result<Json> reload_sheet(Bench& bench, Store& store, const std::string& who) {
  const auto in_use = sheet_in_use(bench);
  if (!in_use) return in_use.error();
  const Sheet& before = **in_use;
  SheetCheck check = check_sheet(before.path);
  if (!check.sheet) return all_in_one(check.problems);
  const bool changes = check.sheet->text != before.text;
  if (changes) {
    const Json facts = sheet_facts(*check.sheet);
    const auto kept = store.keep_sheet(stored_sheet(before, bench.clock().wall_us()));
    if (!kept) return kept.error();
    if (auto used = bench.use_sheet(std::move(*check.sheet), store); !used) return used.error();
    bench.add_event("sheet", {{"who", who},
                              {"title", facts.at("title")},
                              {"sheet_sha256_before", before.sha256},
                              {"sheet_sha256", facts.at("sha256")}});
    bench.log()(fmt::format("sheet: {} taken up anew by {}", before.path, who));
  }
  const TrialState state = bench.trials().state();
  return Json{{"changed", changes},
              {"sheet", sheet_facts(*state.sheet)},
              {"next_trial", next_trial_json(state)}};
}

}  // namespace nestcup::daemon
