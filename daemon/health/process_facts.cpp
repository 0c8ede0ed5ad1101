#include "daemon/health/process_facts.hpp"

#include <sys/resource.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

namespace nestcup::daemon {
namespace {

double seconds_of(const timeval& time) {
  return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_usec) * 1e-6;
}

/// proc_pid_statm(5): the second number is resident pages.
std::optional<std::uint64_t> resident() {
  std::ifstream file("/proc/self/statm");
  std::uint64_t whole = 0, pages = 0;
  if (!(file >> whole >> pages)) return std::nullopt;
  return pages * static_cast<std::uint64_t>(sysconf(_SC_PAGESIZE));
}

std::optional<std::uint64_t> descriptors() {
  std::error_code failed;
  std::filesystem::directory_iterator folder("/proc/self/fd", failed);
  std::uint64_t count = 0;
  while (!failed && folder != std::filesystem::directory_iterator()) {
    ++count;
    folder.increment(failed);
  }
  if (failed || count == 0) return std::nullopt;
  return count - 1;  // the look itself has one
}

}  // namespace

ProcessFacts process_facts() {
  ProcessFacts facts;
  rusage usage{};
  if (getrusage(RUSAGE_SELF, &usage) == 0) {
    facts.cpu_s = seconds_of(usage.ru_utime) + seconds_of(usage.ru_stime);
  }
  facts.resident_bytes = resident();
  facts.open_files = descriptors();
  return facts;
}

}  // namespace nestcup::daemon
