#include "daemon/api/results_api.hpp"

#include <fmt/format.h>

#include <memory>
#include <span>

#include "core/base/time_text.hpp"
#include "core/record/gathered.hpp"
#include "core/record/results_json.hpp"
#include "core/record/stored_run.hpp"
#include "core/report/charts/run_drawing.hpp"
#include "daemon/api/hidden_results.hpp"
#include "daemon/api/report_shelf.hpp"
#include "daemon/api/store_answer.hpp"
#include "daemon/store/hiding.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Error no_sheet() {
  return {Fault::no_input, "the bench has no sheet, and so no results; name one in the bench file"};
}

/// A page or drawing of our own, which carries its styles within itself; nothing in it may run or
/// fetch anything (Content Security Policy Level 3).
Response document(std::string content_type, std::string body) {
  Response response;
  response.fields.emplace_back("Content-Security-Policy",
                               "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
                               "frame-ancestors 'none'; base-uri 'none'; form-action 'none'");
  response.content_type = std::move(content_type);
  response.body = std::move(body);
  return response;
}

std::string query_or(const Request& request, const char* key, const char* otherwise) {
  const auto found = request.query.find(key);
  return found == request.query.end() ? otherwise : found->second;
}

Result<Language> asked_language(const Request& request) {
  const auto language = language_from_tag(query_or(request, "language", "en"));
  if (language) return *language;
  return Error{Fault::usage, "language: en or de is expected"};
}

Result<ReportOptions> asked_options(const Request& request) {
  const auto language = asked_language(request);
  if (!language) return language.error();
  const std::string without = query_or(request, "without_results", "false");
  if (without != "true" && without != "false") {
    return Error{Fault::usage, "without_results: true or false is expected"};
  }
  ReportOptions options;
  options.language = *language;
  options.without_results = without == "true";
  return options;
}

void results(Bench& bench, BookReader& reader, const Request& request, const Reply& reply) {
  const bool hidden = hides_from(bench, request);
  reader.answer(reply, [&bench, hidden](const Store& store) -> Result<Response> {
    const auto sheet = bench.trials().sheet();
    if (!sheet) return no_sheet();
    Gathered gathered;
    if (auto taken = gather_runs(store, gathered); !taken) return taken.error();
    const Json json = results_json(worked_out(*sheet, gathered));
    return json_response(hidden ? masked_results(json) : json);
  });
}

void report(Bench& bench, BookReader& reader, const std::shared_ptr<ReportShelf>& shelf,
            const Request& request, const Reply& reply) {
  if (hides_from(bench, request)) {
    return reply(error_response({Fault::not_permitted,
                                 "results are hidden for now, and the report is full of them; ask "
                                 "whoever leads the course to show them"}));
  }
  const auto options = asked_options(request);
  if (!options) return reply(error_response(options.error()));
  reader.answer(
      reply, [&bench, &reader, shelf, options = *options](const Store& store) -> Result<Response> {
        const auto sheet = bench.trials().sheet();
        if (!sheet) return no_sheet();
        auto page = shelf->page(store, *sheet, options, [&reader] { return reader.goes_on(); });
        if (!page) return page.error();
        return document("text/html; charset=utf-8", std::move(*page));
      });
}

Result<Response> drawn(const Store& store, const std::string& which, Language language,
                       bool hidden) {
  const auto run = store.find_run(which);
  if (!run) return run.error();
  const auto again = analysed_again(store, *run);
  if (!again) return again.error();
  if (!*again) return Error{Fault::bad_data, "no chart: the readings show no mixing any more"};
  const std::string title =
      Texts(language).fill("run_page.title", {{"run", std::to_string(run->number)}});
  const RunChart chart = run_chart(**again, title, language);
  auto svg = chart_svg(hidden ? without_rise(chart) : chart);
  if (!svg) return svg.error();
  return document("image/svg+xml", std::move(*svg));
}

void chart(Bench& bench, BookReader& reader, const Request& request, const Reply& reply) {
  const auto language = asked_language(request);
  if (!language) return reply(error_response(language.error()));
  const std::string which = request.captured.at("run");
  reader.answer(reply, [which, language = *language, hidden = hides_from(bench, request)](
                           const Store& store) { return drawn(store, which, language, hidden); });
}

Result<Response> history_of(const Store& store, const std::string& which) {
  const auto run = store.find_run(which);
  if (!run) return run.error();
  const auto revisions = store.revisions(run->id);
  if (!revisions) return revisions.error();
  Json list = Json::array();
  for (const StoredRevision& one : *revisions) {
    list.push_back({{"revision", one.revision},
                    {"action", one.note.action},
                    {"reason", one.note.reason},
                    {"who", one.note.who},
                    {"at", rfc3339(one.note.wall_us)}});
  }
  return json_response({{"number", run->number}, {"id", run->id}, {"revisions", std::move(list)}});
}

void hide(Bench& bench, const Request& request, const Reply& reply) {
  const auto wanted = request.body.find("hidden");
  if (wanted == request.body.end() || !wanted->is_boolean()) {
    return reply(error_response({Fault::usage, "hidden: true or false is expected"}));
  }
  if (!request.peer) {
    return reply(error_response({Fault::not_permitted,
                                 "results are hidden and shown at the machine itself (nestcup "
                                 "results --hide, --show)"}));
  }
  const bool hidden = wanted->get<bool>();
  const std::string who = who_asks(request);
  const StoredEvent event = hiding_event(bench.clock().now_us(), hidden, who);
  answer_from_store(bench, reply, [&bench, hidden, who, event](Store& store) -> Result<Json> {
    if (auto kept = store.add({}, std::span(&event, 1)); !kept) return kept.error();
    bench.hide_results(hidden);
    bench.log()(fmt::format("results are {} by {}", hidden ? "hidden" : "shown", who));
    return Json{{"results_hidden", hidden}};
  });
}

}  // namespace

void add_results_routes(Router& router, Bench& bench, BookReader& reader) {
  router.add({"GET", "/v1/results", [&bench, &reader](const Request& request, const Reply& reply) {
                results(bench, reader, request, reply);
              }});
  router.add({"GET", "/v1/report",
              [&bench, &reader, shelf = std::make_shared<ReportShelf>()](const Request& request,
                                                                         const Reply& reply) {
                report(bench, reader, shelf, request, reply);
              }});
  router.add({"GET", "/v1/runs/{run}/chart.svg",
              [&bench, &reader](const Request& request, const Reply& reply) {
                chart(bench, reader, request, reply);
              }});
  router.add(
      {"GET", "/v1/runs/{run}/history", [&reader](const Request& request, const Reply& reply) {
         const std::string which = request.captured.at("run");
         reader.answer(reply, [which](const Store& store) { return history_of(store, which); });
       }});
  router.add({"POST", "/v1/results/hidden", [&bench](const Request& request, const Reply& reply) {
                hide(bench, request, reply);
              }});
}

}  // namespace nestcup::daemon
