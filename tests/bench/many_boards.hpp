// Sixty-four boards on pseudo-terminals, to be run by a process of its own: they send numbered
// readings, answer Modbus questions, and are unplugged and plugged in again.
#pragma once

#include <sys/mman.h>
#include <sys/types.h>

#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <new>
#include <stdexcept>
#include <string>

#include "core/base/clock.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup::bench {

inline constexpr int board_count = 64;
/// Boards from this number on keep their cable; there are all kinds among them.
inline constexpr int first_untouched = 48;
inline constexpr double degC_per_code = 1e-4;
/// Longer would need readings that no probe has: above 160 degC.
inline constexpr double longest_s = 2400.0;

enum class Speech : std::uint8_t { text, senml, modbus };

/// Half of the boards send text, a quarter SenML, a quarter are asked by Modbus.
[[nodiscard]] constexpr Speech speech_of(int board) {
  return board % 4 == 3 ? Speech::modbus : board % 4 == 2 ? Speech::senml : Speech::text;
}

/// Where a Modbus board keeps its reading; half of them in holding registers.
[[nodiscard]] inline RegisterPlace register_of(int board) {
  return {1 + board, board % 8 == 3 ? 3 : 4, 100, RegisterFormat::int32, WordOrder::ABCD};
}

/// What a board says in its n-th reading; no two readings of all boards are the same.
[[nodiscard]] constexpr std::uint32_t code_of(int board, std::size_t n) {
  return static_cast<std::uint32_t>(n * board_count + static_cast<std::size_t>(board));
}

/// The machine's steady clock, which is the same in all processes.
[[nodiscard]] inline TimeUs steady_us() {
  const auto since = std::chrono::steady_clock::now().time_since_epoch();
  return std::chrono::duration_cast<std::chrono::microseconds>(since).count();
}

/// A list that one process fills and another reads afterwards.
template <class T>
class SharedList {
 public:
  explicit SharedList(std::size_t capacity = 0) : bytes_(sizeof(Head) + capacity * sizeof(T)) {
    void* const at =
        ::mmap(nullptr, bytes_, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (at == MAP_FAILED) throw std::bad_alloc();
    head_ = new (at) Head{capacity, 0};
  }
  SharedList(const SharedList&) = delete;
  SharedList& operator=(const SharedList&) = delete;
  ~SharedList() { ::munmap(head_, bytes_); }

  void add(const T& item) {
    if (head_->size == head_->capacity) throw std::length_error("a shared list is full");
    data()[head_->size++] = item;
  }
  [[nodiscard]] std::size_t size() const { return head_->size; }
  [[nodiscard]] const T& operator[](std::size_t i) const { return data()[i]; }

 private:
  struct Head {
    std::size_t capacity;
    std::size_t size;
  };
  [[nodiscard]] T* data() const { return reinterpret_cast<T*>(head_ + 1); }

  std::size_t bytes_;
  Head* head_;
};

/// A cable pulled and put back.
struct Plugging {
  TimeUs unplugged_us = 0;
  TimeUs plugged_us = 0;
  bool same_number = false;  ///< the pseudo-terminal came back as what it was
};

/// What one board did.
struct BoardLog {
  explicit BoardLog(double for_s)
      : sent_us(static_cast<std::size_t>(for_s * 20.0) + 100),
        pluggings(static_cast<std::size_t>(for_s) + 10),
        refused(static_cast<std::size_t>(for_s * 20.0) + 100) {}
  SharedList<TimeUs> sent_us;      ///< just before the n-th reading was written
  SharedList<Plugging> pluggings;  ///< in their order
  SharedList<TimeUs> refused;      ///< a reading that the terminal did not take
};

struct BoardPlan {
  std::string folder;  ///< of the links to the boards
  double for_s = 20.0;
  bool unplugs = true;
};

/// The lasting name of a board's port.
[[nodiscard]] inline std::string link_of(const BoardPlan& plan, int board) {
  return plan.folder + "/board-" + std::to_string(board);
}

/// A process of its own that plays all boards for the planned time, and keeps their ports until
/// this object kills it.
class BoardsProcess {
 public:
  /// Comes back when all ports are there.
  /// @param logs  one for each board
  BoardsProcess(const BoardPlan& plan, const std::array<BoardLog*, board_count>& logs);
  BoardsProcess(const BoardsProcess&) = delete;
  BoardsProcess& operator=(const BoardsProcess&) = delete;
  ~BoardsProcess();
  /// Brings a byte when the last reading has been sent; to be closed by the caller.
  [[nodiscard]] int news() const { return news_; }

 private:
  int news_ = -1;
  pid_t process_ = -1;
};

}  // namespace nestcup::bench
