// Ports: there, permitted, under a lasting name, and held by nobody else.
#include <fmt/format.h>

#include <filesystem>

#include "drivers/line/port_list.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

using drivers::PortAccess;

/// The port's state as the daemon has it; nothing where none answers.
std::optional<std::string> state_of(const Bench& bench, const std::string& port) {
  if (!bench.status) return std::nullopt;
  for (const auto& one : bench.status->at("ports")) {
    if (one.at("name") == port) return one.at("state").get<std::string>();
  }
  return std::nullopt;
}

Check access_check(const Bench& bench, const PortSettings& port) {
  Check check{"port " + port.name, Verdict::ok, "", ""};
  const auto state = state_of(bench, port.name);
  if (state == "open" || state == "settling") {
    check.what = fmt::format("the daemon reads {}", port.device);
    return check;
  }
  const drivers::PortAccessReport report = drivers::look_at_port(port.device);
  check.verdict = Verdict::trouble;
  if (state == "silent") {
    check.what = fmt::format("the daemon has {} open, and nothing arrives", port.device);
    check.remedy = "see whether the device has power, and whether baud is the device's";
    return check;
  }
  switch (report.access) {
    case PortAccess::missing:
      check.what = fmt::format("there is no {}", port.device);
      check.remedy =
          "plug the device in, or look with nestcup ports how it is called, and mend the bench "
          "file";
      break;
    case PortAccess::not_permitted:
      check.what = fmt::format("{} may not be read and written by this user", port.device);
      check.remedy = report.advice;
      break;
    case PortAccess::taken:
      check.what = fmt::format("{} is held by {}", port.device, drivers::holder_of(port.device));
      check.remedy = "end that program, so that the daemon gets the port";
      break;
    case PortAccess::free:
      check.verdict = Verdict::ok;
      check.what = fmt::format("{} is there and permitted{}", port.device,
                               state ? fmt::format("; the daemon says: {}", *state) : "");
      break;
  }
  return check;
}

/// Names by the order of plugging in are another device's after the next time.
bool is_passing_name(const std::string& device) {
  const std::filesystem::path path(device);
  const std::string name = path.filename().string();
  return path.parent_path() == "/dev" && (name.starts_with("ttyUSB") || name.starts_with("ttyACM"));
}

Check name_check(const PortSettings& port) {
  const auto link = drivers::lasting_link(port.device);
  return {"port " + port.name, Verdict::note,
          fmt::format("{} is a name by the order of plugging in, and may be another device's "
                      "tomorrow",
                      port.device),
          link ? fmt::format("write device = \"{}\" into the bench file", *link)
               : "nestcup ports shows lasting names; for an adapter without one, give it a name by "
                 "its socket (69-nestcup.rules)"};
}

}  // namespace

Checks port_checks(const Bench& bench) {
  Checks checks;
  for (const PortSettings& port : bench.file.ports) {
    checks.push_back(access_check(bench, port));
    if (is_passing_name(port.device)) checks.push_back(name_check(port));
  }
  return checks;
}

}  // namespace nestcup::doctor
