// Makes the steps that shim_test.py asks for, in the ways programs make them, and says after each
// what came out: steps FOLDER STEP... Relative names are files in FOLDER.
#include <arpa/inet.h>
#include <fcntl.h>
#include <sys/socket.h>
#include <sys/uio.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <map>
#include <string>
#include <thread>
#include <vector>

namespace fs = std::filesystem;

namespace {

const std::string ten = "0123456789";

/// What a call returned, or its error's name.
std::string outcome(long result) {
  return result < 0 ? strerrorname_np(errno) : std::to_string(result);
}

std::string outcome(const std::error_code& code) {
  return code ? strerrorname_np(code.value()) : "0";
}

/// Does `work` with a file that is made where it is not there.
std::string with_file(const std::string& name, const std::function<long(int)>& work) {
  const int file = open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  if (file < 0) return outcome(file);
  const std::string text = outcome(work(file));
  close(file);
  return text;
}

std::array<iovec, 3> parts() {
  static std::string text = ten;
  return {iovec{text.data(), 3}, iovec{text.data() + 3, 3}, iovec{text.data() + 6, 4}};
}

/// Eight threads append a hundred times each. @return how often that failed
std::string append_from_threads() {
  std::atomic<int> failures{0};
  const int file = open("threads", O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600);
  std::vector<std::thread> threads;
  for (int i = 0; i < 8; ++i) {
    threads.emplace_back([&] {
      for (int k = 0; k < 100; ++k) {
        if (write(file, "x", 1) != 1) ++failures;
      }
    });
  }
  for (auto& thread : threads) thread.join();
  close(file);
  return std::to_string(failures);
}

/// Sends ten bytes to a port of this machine in each of the ways.
std::string send_to(int port) {
  const int line = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  sockaddr generic{};
  std::memcpy(&generic, &address, sizeof address);
  if (connect(line, &generic, sizeof generic) != 0) return outcome(-1);
  auto pieces = parts();
  msghdr message{};
  message.msg_iov = pieces.data();
  message.msg_iovlen = pieces.size();
  std::string text = outcome(send(line, ten.data(), ten.size(), MSG_NOSIGNAL));
  text += ' ' + outcome(sendto(line, ten.data(), ten.size(), MSG_NOSIGNAL, nullptr, 0));
  text += ' ' + outcome(sendmsg(line, &message, MSG_NOSIGNAL));
  text += ' ' + outcome(write(line, ten.data(), ten.size()));
  close(line);
  return text;
}

std::string stream(std::size_t size) {
  std::ofstream file("stream", std::ios::binary);
  if (!file) return outcome(-1);
  file << std::string(size, 'x') << std::flush;
  return file ? "0" : outcome(-1);
}

/// A function of std::filesystem that reports by a code.
template <class Call>
std::string told(Call call) {
  std::error_code code;
  call(code);
  return outcome(code);
}

using Steps = std::map<std::string, std::function<std::string()>>;

Steps steps_on_files() {
  const auto file = [](std::function<long(int)> work) {
    return [work = std::move(work)] { return with_file("file", work); };
  };
  return {
      {"create", file([](int) { return 0; })},
      {"write", file([](int f) { return write(f, ten.data(), ten.size()); })},
      {"one-byte", file([](int f) { return write(f, ten.data(), 1); })},
      {"pwrite", file([](int f) { return pwrite(f, ten.data(), ten.size(), 2); })},
      {"writev", file([](int f) { return writev(f, parts().data(), 3); })},
      {"pwritev", file([](int f) { return pwritev(f, parts().data(), 3, 2); })},
      {"fsync", file([](int f) { return fsync(f); })},
      {"fdatasync", file([](int f) { return fdatasync(f); })},
      {"sync-range", file([](int f) { return sync_file_range(f, 0, 0, SYNC_FILE_RANGE_WRITE); })},
      {"ftruncate", file([](int f) { return ftruncate(f, 100); })},
      {"allocate", file([](int f) { return fallocate(f, 0, 0, 100); })},
      {"stream", [] { return stream(20); }},
      {"long-stream", [] { return stream(100'000); }},
      {"threads", append_from_threads},
  };
}

Steps steps_on_names() {
  return {
      {"mkdir", [] { return told([](auto& c) { fs::create_directory("made", c); }); }},
      {"mkdirs", [] { return told([](auto& c) { fs::create_directories("made/deep", c); }); }},
      {"rename", [] { return told([](auto& c) { fs::rename("old", "new", c); }); }},
      {"move-out", [] { return told([](auto& c) { fs::rename("old", "../out", c); }); }},
      {"remove", [] { return told([](auto& c) { fs::remove("old", c); }); }},
      {"remove-all", [] { return told([](auto& c) { fs::remove_all("tree", c); }); }},
      {"copy", [] { return told([](auto& c) { fs::copy_file("old", "copy", c); }); }},
      {"resize", [] { return told([](auto& c) { fs::resize_file("old", 3, c); }); }},
      {"hard-link", [] { return told([](auto& c) { fs::create_hard_link("old", "hard", c); }); }},
      {"soft-link", [] { return told([](auto& c) { fs::create_symlink("old", "soft", c); }); }},
      {"beside", [] { return with_file("../beside", [](int f) { return fsync(f); }); }},
  };
}

}  // namespace

int main(int count, char** words) {
  if (count < 2 || chdir(words[1]) != 0) return 64;
  Steps known = steps_on_files();
  known.merge(steps_on_names());
  for (int i = 2; i < count; ++i) {
    const std::string step = words[i];
    const std::size_t colon = step.find(':');
    const std::string result =
        step.rfind("send:", 0) == 0 ? send_to(std::stoi(step.substr(colon + 1))) : known.at(step)();
    std::cout << step << ' ' << result << std::endl;
  }
}
