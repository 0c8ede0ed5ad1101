#include "tools/demo/child.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstring>
#include <filesystem>
#include <thread>
#include <utility>

namespace nestcup::demo {
namespace {

/// Output of the child goes to the log, its input comes from nowhere, SIGPIPE is as usual again.
class SpawnSettings {
 public:
  explicit SpawnSettings(const std::string& log_path) {
    posix_spawn_file_actions_init(&actions_);
    posix_spawn_file_actions_addopen(&actions_, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&actions_, 1, log_path.c_str(), O_WRONLY | O_CREAT | O_APPEND,
                                     0644);
    posix_spawn_file_actions_adddup2(&actions_, 1, 2);
    posix_spawnattr_init(&attributes_);
    sigset_t pipe;
    sigemptyset(&pipe);
    sigaddset(&pipe, SIGPIPE);
    posix_spawnattr_setsigdefault(&attributes_, &pipe);
    posix_spawnattr_setflags(&attributes_, POSIX_SPAWN_SETSIGDEF);
  }
  SpawnSettings(const SpawnSettings&) = delete;
  SpawnSettings& operator=(const SpawnSettings&) = delete;
  ~SpawnSettings() {
    posix_spawn_file_actions_destroy(&actions_);
    posix_spawnattr_destroy(&attributes_);
  }
  [[nodiscard]] const posix_spawn_file_actions_t* actions() const { return &actions_; }
  [[nodiscard]] const posix_spawnattr_t* attributes() const { return &attributes_; }

 private:
  posix_spawn_file_actions_t actions_{};
  posix_spawnattr_t attributes_{};
};

int code_of(int status) {
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

}  // namespace

std::string program_beside(const std::string& name) {
  std::error_code code;
  const auto self = std::filesystem::read_symlink("/proc/self/exe", code);
  if (code) return name;
  const auto beside = self.parent_path() / name;
  return std::filesystem::exists(beside, code) ? beside.string() : name;
}

Result<Child> Child::start(const std::string& program, const std::vector<std::string>& words,
                           const std::string& log_path) {
  const std::string path = program_beside(program);
  std::vector<std::string> own{path};
  own.insert(own.end(), words.begin(), words.end());
  std::vector<char*> argv;
  for (std::string& word : own) argv.push_back(word.data());
  argv.push_back(nullptr);
  const SpawnSettings settings(log_path);
  pid_t pid = -1;
  const int fault = posix_spawnp(&pid, path.c_str(), settings.actions(), settings.attributes(),
                                 argv.data(), environ);
  if (fault != 0) {
    return Error{Fault::unavailable, fmt::format("{}: cannot be started: {}; it belongs beside "
                                                 "nestcup",
                                                 program, std::strerror(fault))};
  }
  return Child(pid);
}

Child::Child(Child&& other) noexcept : pid_(std::exchange(other.pid_, -1)), code_(other.code_) {}

Child::~Child() {
  if (pid_ > 0 && !ended()) stop(std::chrono::milliseconds(2000));
}

std::optional<int> Child::ended() {
  if (code_ || pid_ <= 0) return code_;
  int status = 0;
  if (waitpid(pid_, &status, WNOHANG) == pid_) code_ = code_of(status);
  return code_;
}

int Child::stop(std::chrono::milliseconds patience) {
  if (const auto code = ended()) return *code;
  kill(pid_, SIGTERM);
  const auto until = std::chrono::steady_clock::now() + patience;
  while (std::chrono::steady_clock::now() < until) {
    if (const auto code = ended()) return *code;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  kill(pid_, SIGKILL);
  int status = 0;
  waitpid(pid_, &status, 0);
  code_ = code_of(status);
  return *code_;
}

}  // namespace nestcup::demo
