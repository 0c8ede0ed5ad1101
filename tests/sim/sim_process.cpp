#include "tests/sim/sim_process.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>
#include <thread>

#include "tests/catch.hpp"

namespace nestcup::sim {

using std::chrono::milliseconds;
using std::chrono::steady_clock;

TestFolder::TestFolder() {
  std::string pattern = (std::filesystem::temp_directory_path() / "nestcup-sim-XXXXXX").string();
  REQUIRE(::mkdtemp(pattern.data()) != nullptr);
  folder_ = pattern;
}

TestFolder::~TestFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

std::string TestFolder::file(const std::string& name, const std::string& content) const {
  std::ofstream(path(name), std::ios::binary) << content;
  return path(name);
}

bool becomes_true(const std::function<bool()>& question, milliseconds limit) {
  const auto end = steady_clock::now() + limit;
  while (!question()) {
    if (steady_clock::now() > end) return false;
    std::this_thread::sleep_for(milliseconds(1));
  }
  return true;
}

SimProcess::SimProcess(const std::vector<std::string>& arguments, const std::string& output) {
  std::vector<std::string> words{NESTCUP_SIM};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> raw;
  for (std::string& word : words) raw.push_back(word.data());
  raw.push_back(nullptr);
  const std::string errors = output + ".err";
  posix_spawn_file_actions_t actions{};
  ::posix_spawn_file_actions_init(&actions);
  ::posix_spawn_file_actions_addopen(&actions, 1, output.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                     0600);
  ::posix_spawn_file_actions_addopen(&actions, 2, errors.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                     0600);
  const int fault = ::posix_spawn(&process_, NESTCUP_SIM, &actions, nullptr, raw.data(), environ);
  ::posix_spawn_file_actions_destroy(&actions);
  REQUIRE(fault == 0);
}

SimProcess::~SimProcess() {
  if (process_ <= 0) return;
  ::kill(process_, SIGKILL);
  ::waitpid(process_, nullptr, 0);
}

void SimProcess::terminate() const {
  ::kill(process_, SIGTERM);
}

void SimProcess::hold_up(std::chrono::milliseconds span) const {
  ::kill(process_, SIGSTOP);
  std::this_thread::sleep_for(span);
  ::kill(process_, SIGCONT);
}

std::optional<int> SimProcess::exit_code() {
  int status = 0;
  const bool ended = becomes_true([&] { return ::waitpid(process_, &status, WNOHANG) == process_; },
                                  std::chrono::seconds(20));
  if (!ended) return std::nullopt;
  process_ = -1;
  if (!WIFEXITED(status)) return std::nullopt;
  return WEXITSTATUS(status);
}

PortReader::PortReader(const std::string& path)
    : descriptor_(::open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK)) {
  INFO(path << ": " << std::error_code(errno, std::generic_category()).message());
  REQUIRE(descriptor_ >= 0);
}

PortReader::~PortReader() {
  ::close(descriptor_);
}

std::optional<std::string> PortReader::line(milliseconds limit) {
  return until("\r\n", limit);
}

std::optional<std::string> PortReader::until(std::string_view line_end, milliseconds limit) {
  const auto end = steady_clock::now() + limit;
  for (;;) {
    if (const auto stop = pending_.find(line_end); stop != std::string::npos) {
      std::string whole = pending_.substr(0, stop);
      pending_.erase(0, stop + line_end.size());
      return whole;
    }
    if (!take_more(end)) return std::nullopt;
  }
}

std::string PortReader::bytes(std::size_t count, milliseconds limit) {
  const auto end = steady_clock::now() + limit;
  while (pending_.size() < count && take_more(end)) {
  }
  std::string taken = pending_.substr(0, count);
  pending_.erase(0, taken.size());
  return taken;
}

bool PortReader::take_more(steady_clock::time_point end) {
  const auto left = std::chrono::duration_cast<milliseconds>(end - steady_clock::now());
  if (left.count() <= 0) return false;
  pollfd watched{descriptor_, POLLIN, 0};
  if (::poll(&watched, 1, static_cast<int>(left.count())) <= 0) return true;
  std::array<char, 4096> buffer{};
  const ssize_t count = ::read(descriptor_, buffer.data(), buffer.size());
  if (count <= 0) {
    // Asked anew: the hang-up may have come between the poll above and the read.
    hung_up_ = ::poll(&watched, 1, 0) > 0 && (watched.revents & POLLHUP) != 0;
    return false;
  }
  pending_.append(buffer.data(), static_cast<std::size_t>(count));
  return true;
}

void PortReader::write(const std::string& bytes) const {
  REQUIRE(::write(descriptor_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()));
}

bool is_link(const std::string& path) {
  return std::filesystem::is_symlink(std::filesystem::symlink_status(path));
}

std::string content_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace nestcup::sim
