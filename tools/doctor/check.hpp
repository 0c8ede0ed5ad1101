// What a look at one thing of the bench came to.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup::doctor {

enum class Verdict {
  ok,
  note,     ///< worth knowing; the bench works
  trouble,  ///< something is lost, or will be
};

struct Check {
  std::string about;  ///< "store", "port board", ...
  Verdict verdict = Verdict::ok;
  std::string what;    ///< what is found, one sentence
  std::string remedy;  ///< what to do, one sentence; empty for ok
};
using Checks = std::vector<Check>;

/// Where the machine shows itself; other folders in tests.
struct Machine {
  std::string sysfs = "/sys";
  std::string processes = "/proc";
  std::string udev = "/run/udev/data";
};

/// What all checks look at. No port is opened, and nothing is changed.
struct Bench {
  BenchFile file;
  /// What the daemon says (GET /v1/status), or why it says nothing.
  Result<nlohmann::json> status = Error{Fault::unavailable, "was not asked"};
  TimeUs now_us = 0;  ///< Unix time
  Machine machine{};
};

[[nodiscard]] std::string_view verdict_word(Verdict verdict);
/// "2.5 GB", "310 MB", "12 kB"
[[nodiscard]] std::string size_text(double bytes);
/// "3 days", "5 h", "12 min", "40 s"
[[nodiscard]] std::string span_text(double seconds);

}  // namespace nestcup::doctor
