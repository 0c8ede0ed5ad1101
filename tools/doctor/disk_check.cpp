// Room on the disk and for how long it lasts, and whether what is flushed gets there.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <filesystem>
#include <fstream>

#include "core/store/store_look.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

namespace fs = std::filesystem;

constexpr double too_little_bytes = 100e6;
constexpr double few_days = 7.0, some_days = 60.0;
/// A flush that takes less on a card or a stick was not done: its flash alone needs longer.
constexpr double quickest_real_us = 20.0;
constexpr double slow_us = 200'000.0;

fs::path folder_of(const Bench& bench) {
  return fs::path(bench.file.store).parent_path();
}

/// Median time of flushes of a small file in this folder, us.
std::optional<double> flush_us(const fs::path& folder) {
  const int file = ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
  if (file < 0) return std::nullopt;
  std::array<double, 20> times{};
  bool good = true;
  for (double& time : times) {
    const std::array<char, 4096> page{};
    good = good && ::pwrite(file, page.data(), page.size(), 0) == 4096;
    const auto begun = std::chrono::steady_clock::now();
    good = good && ::fdatasync(file) == 0;
    time =
        std::chrono::duration<double, std::micro>(std::chrono::steady_clock::now() - begun).count();
  }
  ::close(file);
  if (!good) return std::nullopt;
  std::nth_element(times.begin(), times.begin() + times.size() / 2, times.end());
  return times[times.size() / 2];
}

/// Whether the folder lies on a disk that can be taken out (sysfs: removable), or on a card.
bool is_removable(const fs::path& folder, const std::string& sysfs) {
  struct stat about {};
  if (::stat(folder.c_str(), &about) != 0) return false;
  std::error_code fault;
  fs::path disk = fs::canonical(
      fmt::format("{}/dev/block/{}:{}", sysfs, major(about.st_dev), minor(about.st_dev)), fault);
  if (fault) return false;
  if (fs::exists(disk / "partition", fault)) disk = disk.parent_path();
  std::ifstream file(disk / "removable");
  return disk.filename().string().starts_with("mmcblk") || file.get() == '1';
}

/// What a reading takes in the file, all around it counted.
constexpr double bytes_a_reading = 40.0;

}  // namespace

Checks judge_disk(const DiskFacts& facts) {
  Check check{"disk", Verdict::ok, size_text(facts.free_bytes) + " are free", ""};
  const std::string make_room =
      "make room on the disk, move the store to a larger one, or lower keep_readings_days in the "
      "bench file";
  if (facts.free_bytes < too_little_bytes) {
    check.verdict = Verdict::trouble;
    check.remedy = make_room;
    return {check};
  }
  if (facts.bytes_a_day <= 0.0) return {check};
  check.what += fmt::format(", readings take {} a day", size_text(facts.bytes_a_day));
  const double days = facts.free_bytes / facts.bytes_a_day;
  if (facts.keep_days) {
    const double more = std::max(0.0, facts.bytes_a_day * *facts.keep_days - facts.store_bytes);
    if (more < facts.free_bytes * 0.9) {
      check.what += fmt::format(
          "; with what is removed the store will come to some {}, and grow by "
          "its runs from there",
          size_text(more + facts.store_bytes));
      return {check};
    }
  }
  check.what += fmt::format("; that is enough for {:.0f} days", days);
  if (days < few_days) check.verdict = Verdict::trouble;
  if (days >= few_days && days < some_days) check.verdict = Verdict::note;
  if (check.verdict != Verdict::ok) check.remedy = make_room;
  return {check};
}

Checks disk_checks(const Bench& bench) {
  std::error_code fault;
  const auto room = fs::space(folder_of(bench), fault);
  if (fault) {
    return {{"disk", Verdict::trouble,
             fmt::format("{}: cannot be looked at: {}", folder_of(bench).string(), fault.message()),
             "see whether the store's folder is there, and its rights"}};
  }
  DiskFacts facts;
  facts.free_bytes = static_cast<double>(room.available);
  facts.keep_days = bench.file.keep_readings_days;
  if (const auto rate = readings_of_last_day(bench.file.store)) {
    facts.bytes_a_day = static_cast<double>(*rate) * bytes_a_reading;
  }
  const auto bytes = fs::file_size(bench.file.store, fault);
  if (!fault) facts.store_bytes = static_cast<double>(bytes);
  return judge_disk(facts);
}

Checks judge_flush(const FlushFacts& facts) {
  Check check{"flush", Verdict::ok,
              fmt::format("flushing to the disk takes {:.2f} ms", facts.median_us * 1e-3), ""};
  if (facts.removable && facts.median_us < quickest_real_us) {
    check.verdict = Verdict::note;
    check.what +=
        ", faster than a card or a stick can: after a power cut, what was committed may "
        "be missing";
    check.remedy = "put the store on a disk that flushes, or see that the power stays on";
  } else if (facts.median_us > slow_us) {
    check.verdict = Verdict::note;
    check.what += ", which is slow: readings wait in memory meanwhile";
    check.remedy = "look for what else writes to that disk; a card that got slow is wearing out";
  }
  return {check};
}

Checks flush_checks(const Bench& bench) {
  const auto median_us = flush_us(folder_of(bench));
  if (!median_us) {
    return {{"flush", Verdict::note,
             "not tried: this user may make no file in the store's folder, or it has no room",
             "run nestcup doctor as the user of the daemon"}};
  }
  return judge_flush({*median_us, is_removable(folder_of(bench), bench.machine.sysfs)});
}

}  // namespace nestcup::doctor
