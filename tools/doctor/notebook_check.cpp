// What is owed to notebooks, since when, and their passwords.
#include <fmt/format.h>

#include <algorithm>

#include "core/notebook/notebook.hpp"
#include "core/notebook/secret.hpp"
#include "core/store/outbox.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

/// A server that is down for a night is no trouble; what waits longer is looked after by nobody.
constexpr double long_s = 2.0 * 86'400.0;

Check password_check(const NotebookSettings& settings) {
  const std::string about = "notebook " + notebook_name(settings);
  if (!settings.password_credential.empty()) {
    return {about, Verdict::ok, "the service manager hands its password over; not looked at here",
            ""};
  }
  if (const auto password = notebook_password(settings); !password) {
    const bool other_user = password.error().kind == Fault::not_permitted;
    return {about, other_user ? Verdict::note : Verdict::trouble, password.error().text,
            other_user ? "run nestcup doctor as the user of the daemon, who must read it"
                       : "put the password into the file's first line, and chmod 600 the file"};
  }
  return {about, Verdict::ok, "its password is there, and nobody else may read it", ""};
}

Check owed_check(const Bench& bench, const NotebookCount& count,
                 const std::vector<OwedRevision>& first) {
  Check check{"notebook " + count.notebook, Verdict::ok,
              fmt::format("has all {} revisions", count.carried), ""};
  if (first.empty()) return check;
  const double for_s = to_s(bench.now_us - first.front().since_us);
  check.what = fmt::format("is owed {} revisions, the first for {}", count.owed + count.blocked,
                           span_text(std::max(0.0, for_s)));
  const auto failed = std::find_if(first.begin(), first.end(), [](const OwedRevision& one) {
    return one.blocked || !one.reason.empty();
  });
  if (failed != first.end()) check.what += ": " + failed->reason;
  const bool waits_long = for_s > long_s;
  if (count.blocked > 0 || waits_long) check.verdict = Verdict::trouble;
  if (check.verdict == Verdict::ok && failed != first.end()) check.verdict = Verdict::note;
  if (check.verdict != Verdict::ok) {
    check.remedy = count.blocked > 0
                       ? "mend what is said, then nestcup sync"
                       : "see whether the notebook is reachable; nestcup sync tries it now";
  }
  return check;
}

Checks owed_checks(const Bench& bench, const Store& store) {
  const OutboxView outbox(store);
  const auto counts = outbox.counts();
  if (!counts) return {};  // told by store_checks
  Checks checks;
  for (const NotebookCount& count : *counts) {
    if (!count.in_use) continue;
    constexpr int enough = 20;
    const auto first = outbox.owed(count.notebook, 0, enough);
    if (first) checks.push_back(owed_check(bench, count, *first));
  }
  return checks;
}

}  // namespace

Checks notebook_checks(const Bench& bench) {
  Checks checks;
  if (const auto store = Store::open(bench.file.store, StoreMode::read)) {
    checks = owed_checks(bench, *store);
  }
  std::vector<NotebookSettings> with_passwords = bench.file.notebooks;
  if (bench.file.class_place) with_passwords.push_back(bench.file.class_place->database);
  for (const NotebookSettings& settings : with_passwords) {
    if (settings.password_file.empty() && settings.password_credential.empty()) continue;
    checks.push_back(password_check(settings));
  }
  return checks;
}

}  // namespace nestcup::doctor
