// Is there a daemon, and what does it say?
#include <fmt/format.h>

#include "core/base/version.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

Check without_daemon(const Bench& bench) {
  const Error& error = bench.status.error();
  if (error.kind == Fault::unavailable) {
    return {"daemon", Verdict::trouble, "no daemon answers: nothing is being read",
            fmt::format("start it (nestcupd --bench {}, or its service), or look into its log for "
                        "why it ended",
                        bench.file.path)};
  }
  return {"daemon", Verdict::trouble, error.text,
          "ask as a user who may use the control socket, or start the daemon anew"};
}

}  // namespace

Checks daemon_checks(const Bench& bench) {
  if (!bench.status) return {without_daemon(bench)};
  Checks checks;
  const nlohmann::json& problems = bench.status->at("problems");
  for (const auto& problem : problems) {
    checks.push_back({"daemon", Verdict::trouble, "it says: " + problem.get<std::string>(),
                      "nestcup status shows more; what is found here may tell why"});
  }
  if (problems.empty()) checks.push_back({"daemon", Verdict::ok, "runs, and all is well", ""});
  const std::string version = bench.status->at("version");
  if (version != version_text) {
    checks.push_back({"daemon", Verdict::note,
                      fmt::format("is version {}, this command is {}", version, version_text),
                      "start the daemon anew once no run is under way, so that both are the same"});
  }
  return checks;
}

}  // namespace nestcup::doctor
