// load_boards FOLDER BOARDS COLUMNS PER_SECOND SECONDS LOG: boards on pseudo-terminals,
// FOLDER/board-0 and on, that each send a numbered line so often, one after the other in even steps
// of time; "ready" is printed when all ports are there. The sending begins when standard input
// brings a line, and the ports stay until it is closed. LOG gets, for the n-th line of each board
// in turn, the time just before it was written (CLOCK_BOOTTIME, us, as 64-bit numbers; 0: was not
// taken). Each column of a board's n-th line is 20 + n/10000 degC.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/prctl.h>
#include <termios.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

constexpr std::int64_t ns_per_s = 1'000'000'000;

std::int64_t now_ns(clockid_t clock) {
  timespec time{};
  clock_gettime(clock, &time);
  return time.tv_sec * ns_per_s + time.tv_nsec;
}

void wait_until(std::int64_t steady_ns) {
  const timespec until{steady_ns / ns_per_s, steady_ns % ns_per_s};
  while (clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &until, nullptr) != 0) {
  }
}

/// A pseudo-terminal that passes bytes as they are; its other end stays without an owner here.
int open_board(const std::string& link) {
  const int board = ::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (board < 0 || ::grantpt(board) != 0 || ::unlockpt(board) != 0) {
    throw std::runtime_error("no pseudo-terminal to be had");
  }
  const std::string path = ::ptsname(board);
  const int other = ::open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios mode{};
  ::tcgetattr(other, &mode);
  ::cfmakeraw(&mode);
  ::tcsetattr(other, TCSANOW, &mode);
  ::close(other);
  std::filesystem::create_symlink(path, link);
  return board;
}

bool send(int board, int columns, std::size_t n) {
  const std::string value = fmt::format("{:.4f}", 20.0 + static_cast<double>(n) * 1e-4);
  std::string line = value;
  for (int column = 1; column < columns; ++column) line += "," + value;
  line += "\r\n";
  return ::write(board, line.data(), line.size()) == static_cast<ssize_t>(line.size());
}

std::vector<std::int64_t> send_all(const std::vector<int>& boards, int columns, double per_s,
                                   double for_s) {
  const auto count = static_cast<std::size_t>(per_s * for_s);
  const auto step_ns = static_cast<double>(ns_per_s) / (per_s * static_cast<double>(boards.size()));
  std::vector<std::int64_t> sent_us;
  sent_us.reserve(count * boards.size());
  const std::int64_t begun_ns = now_ns(CLOCK_MONOTONIC);
  for (std::size_t n = 0; n < count; ++n) {
    for (const int board : boards) {
      wait_until(begun_ns +
                 static_cast<std::int64_t>(step_ns * static_cast<double>(sent_us.size())));
      const std::int64_t at_us = now_ns(CLOCK_BOOTTIME) / 1000;
      sent_us.push_back(send(board, columns, n) ? at_us : 0);
    }
  }
  return sent_us;
}

int play(const std::string& folder, int count, int columns, double per_s, double for_s,
         const char* log) {
  ::prctl(PR_SET_TIMERSLACK, 1UL);
  std::vector<int> boards;
  for (int i = 0; i < count; ++i)
    boards.push_back(open_board(fmt::format("{}/board-{}", folder, i)));
  fmt::print("ready\n");
  std::fflush(stdout);
  if (std::getchar() == EOF) return 0;
  const std::vector<std::int64_t> sent_us = send_all(boards, columns, per_s, for_s);
  std::ofstream file(log, std::ios::binary);
  file.write(reinterpret_cast<const char*>(sent_us.data()),
             static_cast<std::streamsize>(sent_us.size() * sizeof(std::int64_t)));
  file.close();
  fmt::print("sent\n");
  std::fflush(stdout);
  while (std::getchar() != EOF) {
  }
  return file ? 0 : 74;
}

}  // namespace

int main(int count, char** words) {
  if (count != 7) return 64;
  try {
    return play(words[1], std::atoi(words[2]), std::atoi(words[3]), std::atof(words[4]),
                std::atof(words[5]), words[6]);
  } catch (const std::exception& problem) {
    fmt::print(stderr, "load_boards: {}\n", problem.what());
    return 74;
  }
}
