// Runs nestcup-sim as a program of its own, and a port as a reader sees it.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup::sim {

/// A folder of its own that goes away with this object.
class TestFolder {
 public:
  TestFolder();
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  ~TestFolder();
  /// The path of `name` in the folder.
  [[nodiscard]] std::string path(const std::string& name) const { return folder_ + "/" + name; }
  /// The path of a file with this content.
  [[nodiscard]] std::string file(const std::string& name, const std::string& content) const;

 private:
  std::string folder_;
};

/// Waits up to `limit` for something to become true.
[[nodiscard]] bool becomes_true(const std::function<bool()>& question,
                                std::chrono::milliseconds limit = std::chrono::seconds(10));

/// A running nestcup-sim; killed with this object if it still runs.
class SimProcess {
 public:
  /// @param output  file for standard output; standard error goes to the same name with ".err"
  SimProcess(const std::vector<std::string>& arguments, const std::string& output);
  SimProcess(const SimProcess&) = delete;
  SimProcess& operator=(const SimProcess&) = delete;
  ~SimProcess();

  void terminate() const;
  /// Holds it up for a while, as a busy machine does.
  void hold_up(std::chrono::milliseconds span) const;
  /// The exit code, waited for up to 20 s; nothing where it goes on or was killed.
  [[nodiscard]] std::optional<int> exit_code();

 private:
  pid_t process_ = -1;
};

/// A port opened for reading and writing, without any settings of its own.
class PortReader {
 public:
  explicit PortReader(const std::string& path);
  PortReader(const PortReader&) = delete;
  PortReader& operator=(const PortReader&) = delete;
  ~PortReader();

  /// The next line without its CR LF; nothing within `limit` or when the port has hung up.
  [[nodiscard]] std::optional<std::string> line(
      std::chrono::milliseconds limit = std::chrono::seconds(10));
  /// The next line without its end, which may be another than CR LF.
  [[nodiscard]] std::optional<std::string> until(
      std::string_view end, std::chrono::milliseconds limit = std::chrono::seconds(10));
  /// The next bytes; fewer where no more come within `limit`, or the port has hung up.
  [[nodiscard]] std::string bytes(std::size_t count,
                                  std::chrono::milliseconds limit = std::chrono::seconds(10));
  [[nodiscard]] bool hung_up() const { return hung_up_; }
  void write(const std::string& bytes) const;

 private:
  /// Waits for bytes up to a time; false where none come any more.
  bool take_more(std::chrono::steady_clock::time_point end);

  int descriptor_ = -1;
  bool hung_up_ = false;
  std::string pending_;
};

/// Whether there is a symbolic link, wherever it leads.
[[nodiscard]] bool is_link(const std::string& path);

/// The whole content of a file; empty where there is none.
[[nodiscard]] std::string content_of(const std::string& path);

}  // namespace nestcup::sim
