// A device on a pseudo-terminal, as tests need it: it writes, answers, goes and comes back.
#pragma once

#include <fcntl.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>

namespace nestcup::drivers::testing {

/// The device's end. Closing it is what an unplugged adapter looks like to the other end.
class Pty {
 public:
  Pty() : master_(posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)) {
    if (master_ < 0 || grantpt(master_) != 0 || unlockpt(master_) != 0) {
      throw std::runtime_error("no pseudo-terminal");
    }
    std::array<char, 128> name{};
    if (ptsname_r(master_, name.data(), name.size()) != 0) throw std::runtime_error("no name");
    path_ = name.data();
    termios settings = this->settings();
    cfmakeraw(&settings);
    set(settings);
  }
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;
  ~Pty() { unplug(); }

  [[nodiscard]] const std::string& path() const { return path_; }

  void unplug() {
    if (master_ >= 0) ::close(master_);
    master_ = -1;
  }

  /// @return whether all of it was taken
  bool write(std::string_view bytes) {
    return ::write(master_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size());
  }

  /// What has arrived, without waiting; empty also while nobody has the other end open.
  std::string read() {
    std::array<char, 4096> buffer{};
    const ssize_t size = ::read(master_, buffer.data(), buffer.size());
    return {buffer.data(), size > 0 ? static_cast<std::size_t>(size) : 0};
  }

  [[nodiscard]] termios settings() const {
    termios settings{};
    if (tcgetattr(master_, &settings) != 0) throw std::runtime_error("no settings");
    return settings;
  }
  void set(const termios& settings) {
    if (tcsetattr(master_, TCSANOW, &settings) != 0) throw std::runtime_error("not set");
  }

 private:
  int master_;
  std::string path_;
};

/// A folder of its own, gone afterwards.
class TempFolder {
 public:
  TempFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "nestcup-pty-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder");
    path_ = name;
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }

  [[nodiscard]] std::string file(const std::string& name) const { return path_ + "/" + name; }
  /// Points the link `name` to `target`, at one stroke.
  void link(const std::string& name, const std::string& target) const {
    std::filesystem::create_symlink(target, file("new"));
    std::filesystem::rename(file("new"), file(name));
  }

 private:
  std::string path_;
};

}  // namespace nestcup::drivers::testing
