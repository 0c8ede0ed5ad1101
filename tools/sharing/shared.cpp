#include "tools/sharing/shared.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <thread>

#include "core/base/exit_code.hpp"
#include "core/record/run_record.hpp"
#include "tools/cli/output.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

constexpr int least_lease_s = 2;
constexpr int most_lease_s = 3600;

Result<int> whole_between(const cli::Parsed& parsed, const char* option, int otherwise, int least,
                          int most) {
  const auto given = parsed.whole_number(option);
  if (!given) return given.error();
  if (!*given) return otherwise;
  if (**given >= least && **given <= most) return static_cast<int>(**given);
  return Error{Fault::usage, fmt::format("option --{}: a whole number from {} to {} is expected",
                                         option, least, most)};
}

/// "ruth@lab-3:4711": login, machine and process.
std::string worker_name() {
  std::array<char, 256> host{};
  gethostname(host.data(), host.size() - 1);
  return fmt::format("{}@{}:{}", note_now("", "").who, host.data(), getpid());
}

Json outcome_json(const SharedWork& shared, const SharedOutcome& outcome,
                  const std::vector<std::string>& words, double time_s) {
  Json json{{"database", shared.address},
            {"analysis", shared.list.analysis},
            {"runs", outcome.all.all},
            {"done", outcome.all.done},
            {"done_here", outcome.own},
            {"workers_here", shared.workers},
            {"time_s", time_s}};
  for (const std::string& word : words) {
    const auto count = outcome.all.by_outcome.find(word);
    json[word] = count == outcome.all.by_outcome.end() ? 0 : count->second;
  }
  json["problems"] = Json::array();
  for (const DoneTask& one : outcome.wrong) {
    json["problems"].push_back(
        {{"id", one.run}, {"revision", one.of_revision}, {"text", one.said}});
  }
  return json;
}

}  // namespace

std::vector<cli::OptionSpec> shared_options() {
  return {
      {.name = "workers",
       .value_name = "N",
       .help = "of a database: threads of this machine, 1 to 64; without it as many as there "
               "are processors"},
      {.name = "lease",
       .value_name = "SECONDS",
       .help = "of a database: after so long without a word from a worker its runs are done "
               "by others; without it 60"},
      {.name = "again", .help = "of a database: also what is done already; on one machine alone"}};
}

Result<SharedWork> shared_work(const cli::Parsed& parsed, const std::string& kind) {
  const auto address = chosen_database(parsed);
  if (!address) {
    return Error{Fault::usage,
                 "options --workers, --lease and --again are for databases; name one "
                 "with --from postgres://USER@HOST/DATABASE"};
  }
  const unsigned processors = std::thread::hardware_concurrency();
  const auto workers =
      whole_between(parsed, "workers", std::max(1, static_cast<int>(processors)), 1, most_workers);
  if (!workers) return workers.error();
  const auto lease_s = whole_between(parsed, "lease", usual_lease_s, least_lease_s, most_lease_s);
  if (!lease_s) return lease_s.error();
  auto choice = run_choice(parsed);
  if (!choice) return choice.error();
  SharedWork shared;
  shared.address = *address;
  shared.list = {kind, analysis_version};
  shared.choice = std::move(*choice);
  shared.workers = *workers;
  shared.lease_s = *lease_s;
  shared.again = parsed.flag("again");
  shared.who = worker_name();
  return shared;
}

int run_shared(const SharedWork& shared, const TaskWork& work,
               const std::vector<std::pair<std::string, std::string>>& good,
               const std::pair<std::string, std::string>& wrong, bool is_json,
               cli::Streams& streams) {
  const auto begin = std::chrono::steady_clock::now();
  Progress progress(streams);
  const auto outcome = share_work(shared, work, wrong.first, [&](const TaskProgress& now) {
    progress.at(static_cast<std::size_t>(now.done), static_cast<std::size_t>(now.all));
  });
  if (!outcome) return cli::report_error(streams, outcome.error());
  const double time_s =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  std::vector<std::string> words;
  std::string text = fmt::format("{} runs, {} of them here: ", outcome->all.all, outcome->own);
  std::vector<std::pair<std::string, std::string>> all = good;
  all.push_back(wrong);
  for (const auto& [word, said] : all) {
    const auto count = outcome->all.by_outcome.find(word);
    text += fmt::format("{}{} {}", words.empty() ? "" : ", ",
                        count == outcome->all.by_outcome.end() ? 0 : count->second, said);
    words.push_back(word);
  }
  if (is_json) {
    streams.out << outcome_json(shared, *outcome, words, time_s).dump() << '\n';
  } else {
    for (const DoneTask& one : outcome->wrong) {
      streams.out << fmt::format("run {}: {}: {}\n", one.run, wrong.second, one.said);
    }
    streams.out << text << '\n';
  }
  return outcome->wrong.empty() ? 0 : exit_code(Fault::bad_data);
}

}  // namespace nestcup
