#include "daemon/api/revision_api.hpp"

#include "core/record/assign.hpp"
#include "core/record/revise.hpp"
#include "core/sheet/sheet_file.hpp"
#include "daemon/api/hidden_results.hpp"
#include "daemon/api/store_answer.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

/// Answers with the run that `work` changed, and counts the trials' runs anew.
void answer_with_run(Bench& bench, const Request& request, const Reply& reply,
                     std::function<Result<StoredRun>(Store&)> work) {
  const bool hidden = hides_from(bench, request);
  answer_from_store(bench, reply,
                    [&bench, hidden, work = std::move(work)](Store& store) -> Result<Json> {
                      const auto run = work(store);
                      if (!run) return run.error();
                      bench.trials().look(store);
                      bench.record_stored();
                      return run_line(*run, hidden);
                    });
}

Handler status_change(Bench& bench, const char* status, const char* action) {
  return [&bench, status, action](const Request& request, const Reply& reply) {
    const auto reason = request.body.find("reason");
    if (reason == request.body.end() || !reason->is_string() ||
        reason->get<std::string>().empty()) {
      return reply(error_response({Fault::usage, "a reason is needed: {\"reason\": \"...\"}"}));
    }
    const RevisionNote note{action, reason->get<std::string>(), who_asks(request),
                            bench.clock().wall_us()};
    const std::string which = request.captured.at("run");
    answer_with_run(bench, request, reply, [which, status, note](Store& store) {
      return change_status(store, which, status, note);
    });
  };
}

/// The text of a request's key; empty where it is left out.
/// @errors usage: something else than text
Result<std::string> text_of(const Request& request, const char* key) {
  const auto found = request.body.find(key);
  if (found == request.body.end()) return std::string();
  if (found->is_string()) return found->get<std::string>();
  return Error{Fault::usage, std::string(key) + ": a text is expected"};
}

/// What is asked for; the sheet in use stands where the request brings none.
Result<Assignment> read_assignment(const Request& request, const Sheet* in_use) {
  Assignment assignment{request.captured.at("run"), "", std::nullopt};
  if (in_use != nullptr) assignment.sheet = *in_use;
  const auto trial = text_of(request, "trial"), sheet = text_of(request, "sheet_text");
  if (!trial) return trial.error();
  if (!sheet) return sheet.error();
  if (trial->empty()) {
    return Error{Fault::usage, "a trial is needed: {\"trial\": \"its name\"}, or \"none\""};
  }
  assignment.trial = *trial;
  if (sheet->empty()) return assignment;
  auto parsed = parse_sheet(*sheet, "sheet");
  if (!parsed) return parsed.error();
  assignment.sheet = std::move(parsed).value();
  return assignment;
}

void assign(Bench& bench, const Request& request, const Reply& reply) {
  const auto assignment = read_assignment(request, bench.trials().sheet().get());
  if (!assignment) return reply(error_response(assignment.error()));
  const auto reason = text_of(request, "reason");
  if (!reason) return reply(error_response(reason.error()));
  const RevisionNote note{"assigned", *reason, who_asks(request), bench.clock().wall_us()};
  answer_with_run(bench, request, reply, [assignment = *assignment, note](Store& store) {
    return assign_run(store, assignment, note);
  });
}

}  // namespace

void add_revision_routes(Router& router, Bench& bench) {
  router.add({"POST", "/v1/runs/{run}/strike", status_change(bench, "struck", "struck")});
  router.add({"POST", "/v1/runs/{run}/restore", status_change(bench, "finished", "restored")});
  router.add(
      {"POST", "/v1/runs/{run}/assign",
       [&bench](const Request& request, const Reply& reply) { assign(bench, request, reply); }});
}

}  // namespace nestcup::daemon
