#include "tests/bench/many_boards.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/epoll.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <exception>
#include <limits>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/modbus_frame.hpp"
#include "sim/pty.hpp"

namespace nestcup::bench {
namespace {

constexpr TimeUs interval_us = 100'000;
constexpr TimeUs unplug_every_us = us_per_s;
constexpr TimeUs away_us = us_per_s / 2;
// From a board's last reading to the end of its cable: half-way to the next one.
constexpr TimeUs last_words_us = interval_us / 2;
// All cables are back in their sockets for so long before the end.
constexpr TimeUs calm_end_us = 3 * us_per_s;
constexpr TimeUs never_us = std::numeric_limits<TimeUs>::max();
constexpr std::size_t question_size = 8;

template <class T>
T must(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

struct Board {
  int number = 0;
  BoardLog* log = nullptr;
  std::optional<sim::Pty> pty{};
  std::optional<sim::Pty> spare{};  // opened while the old one is there: another number for sure
  std::optional<sim::DeviceLink> link{};
  std::string heard{};
  TimeUs due_us = never_us;
  TimeUs unplug_us = never_us;
  TimeUs plug_us = never_us;
  Plugging plugging{};
  bool goes = false;  // is unplugged after its next reading
};

std::string big_endian(std::uint16_t word) {
  return {static_cast<char>(word >> 8), static_cast<char>(word & 0xFF)};
}

std::string register_answer(int board, std::uint32_t code) {
  const RegisterPlace place = register_of(board);
  std::string body{static_cast<char>(place.device), static_cast<char>(place.function), 4};
  const auto words = sim::registers_of(code, sim::NumberFormat::int32, sim::WordOrder::ABCD);
  for (const std::uint16_t word : words) body += big_endian(word);
  return sim::modbus_frame(body);
}

std::string register_question(int board) {
  const RegisterPlace place = register_of(board);
  std::string body{static_cast<char>(place.device), static_cast<char>(place.function)};
  body += big_endian(static_cast<std::uint16_t>(place.first)) + big_endian(2);
  return sim::modbus_frame(body);
}

std::string words_of(int board, std::uint32_t code) {
  const double degC = degC_per_code * code;
  switch (speech_of(board)) {
    case Speech::text:
      return fmt::format("{},{:.4f}\r\n", board, degC);
    case Speech::senml:
      return fmt::format(
          "[{{\"bn\":\"urn:dev:org:32473-bench:\",\"n\":\"t\",\"u\":\"Cel\","
          "\"v\":{:.4f}}}]\n",
          degC);
    case Speech::modbus:
      break;
  }
  return register_answer(board, code);
}

class Boards {
 public:
  Boards(const BoardPlan& plan, const std::array<BoardLog*, board_count>& logs)
      : plan_(plan), epoll_(::epoll_create1(EPOLL_CLOEXEC)) {
    for (int i = 0; i < board_count; ++i) {
      Board& board = boards_[static_cast<std::size_t>(i)];
      board.number = i;
      board.log = logs[static_cast<std::size_t>(i)];
      board.pty = must(sim::Pty::open());
      put_in(board);
    }
  }

  void play(int news) {
    const TimeUs start_us = steady_us();
    for (Board& board : boards_) {
      if (speech_of(board.number) == Speech::modbus) continue;
      board.due_us = start_us + interval_us * (board.number + 1) / board_count;
    }
    unplug_next_us_ = plan_.unplugs ? start_us + 2 * unplug_every_us : never_us;
    const TimeUs end_us = start_us + to_us(plan_.for_s);
    last_unplug_us_ = end_us - calm_end_us;
    tell(news);
    while (steady_us() < end_us) {
      listen(std::min(next_us(), end_us));
      for (Board& board : boards_) act(board);
      choose_one_to_unplug();
    }
    tell(news);
    // With the boards their ports would go, and what has not been read yet.
    while (true) ::pause();
  }

 private:
  static void tell(int news) {
    if (::write(news, "x", 1) != 1) throw std::runtime_error("nobody waits for the boards");
  }

  void put_in(Board& board) {
    board.link = must(sim::DeviceLink::make(board.pty->other_end(), link_of(plan_, board.number)));
    if (speech_of(board.number) != Speech::modbus) return;
    // By its edges: a terminal that nobody has open would hang up all the time.
    epoll_event event{};
    event.events = EPOLLIN | EPOLLET;
    event.data.u32 = static_cast<std::uint32_t>(board.number);
    if (::epoll_ctl(epoll_, EPOLL_CTL_ADD, board.pty->descriptor(), &event) != 0) {
      throw std::runtime_error("cannot watch a pseudo-terminal");
    }
  }

  [[nodiscard]] TimeUs next_us() const {
    TimeUs next_us = unplug_next_us_;
    for (const Board& board : boards_) {
      next_us = std::min({next_us, board.due_us, board.unplug_us, board.plug_us});
    }
    return next_us;
  }

  void listen(TimeUs until_us) {
    const TimeUs wait_us = std::max<TimeUs>(0, until_us - steady_us());
    const timespec wait{wait_us / us_per_s, 1000 * (wait_us % us_per_s)};
    pollfd watched{epoll_, POLLIN, 0};
    if (::ppoll(&watched, 1, &wait, nullptr) <= 0) return;
    std::array<epoll_event, board_count> events{};
    const int count = ::epoll_wait(epoll_, events.data(), board_count, 0);
    for (int i = 0; i < count; ++i) answer(boards_[events[static_cast<std::size_t>(i)].data.u32]);
  }

  void answer(Board& board) {
    if (!board.pty) return;
    for (std::string bytes = board.pty->read(); !bytes.empty(); bytes = board.pty->read()) {
      board.heard += bytes;
    }
    const std::string question = register_question(board.number);
    for (std::size_t at = board.heard.find(question); at != std::string::npos;
         at = board.heard.find(question)) {
      board.heard.erase(0, at + question_size);
      say(board);
    }
  }

  static void say(Board& board) {
    const std::size_t n = board.log->sent_us.size();
    const std::string words = words_of(board.number, code_of(board.number, n));
    const TimeUs now_us = steady_us();
    board.log->sent_us.add(now_us);
    const auto taken = ::write(board.pty->descriptor(), words.data(), words.size());
    if (taken != static_cast<ssize_t>(words.size())) board.log->refused.add(now_us);
    if (std::exchange(board.goes, false)) board.unplug_us = now_us + last_words_us;
  }

  void act(Board& board) {
    const TimeUs now_us = steady_us();
    if (now_us >= board.plug_us) {
      board.plug_us = never_us;
      board.plugging.plugged_us = now_us;
      board.pty = std::exchange(board.spare, std::nullopt);
      put_in(board);
      board.log->pluggings.add(board.plugging);
    }
    if (now_us >= board.unplug_us) unplug(board, now_us);
    if (now_us < board.due_us) return;
    if (board.pty) say(board);
    // Never two at once after the machine stood still.
    while (board.due_us <= now_us) board.due_us += interval_us;
  }

  static void unplug(Board& board, TimeUs now_us) {
    board.unplug_us = never_us;
    board.spare = must(sim::Pty::open());
    const bool same = board.spare->other_end() == board.pty->other_end();
    board.plugging = {now_us, 0, same};
    board.plug_us = now_us + away_us;
    board.pty.reset();
    board.link.reset();
    board.heard.clear();
  }

  void choose_one_to_unplug() {
    if (steady_us() < unplug_next_us_) return;
    unplug_next_us_ += unplug_every_us;
    if (unplug_next_us_ > last_unplug_us_) unplug_next_us_ = never_us;
    // 7 has no factor in common with 48: all come in turn, and all kinds soon.
    boards_[static_cast<std::size_t>(unplugged_++ * 7 % first_untouched)].goes = true;
  }

  BoardPlan plan_;
  int epoll_;
  std::array<Board, board_count> boards_{};
  TimeUs unplug_next_us_ = never_us;
  TimeUs last_unplug_us_ = never_us;
  int unplugged_ = 0;
};

[[noreturn]] void be_boards(const BoardPlan& plan, const std::array<BoardLog*, board_count>& logs,
                            int news) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  try {
    Boards(plan, logs).play(news);
  } catch (const std::exception& problem) {
    fmt::print(stderr, "many_ports: boards: {}\n", problem.what());
  }
  ::_exit(1);
}

}  // namespace

BoardsProcess::BoardsProcess(const BoardPlan& plan,
                             const std::array<BoardLog*, board_count>& logs) {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
  news_ = ends[0];
  process_ = ::fork();
  if (process_ == 0) be_boards(plan, logs, ends[1]);
  ::close(ends[1]);
  char byte = 0;
  if (process_ < 0 || ::read(news_, &byte, 1) != 1) throw std::runtime_error("no boards");
}

BoardsProcess::~BoardsProcess() {
  if (process_ <= 0) return;
  ::kill(process_, SIGKILL);
  ::waitpid(process_, nullptr, 0);
}

}  // namespace nestcup::bench
