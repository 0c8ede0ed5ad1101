// An output stream on a file descriptor that remembers why a write failed.
#pragma once

#include <array>
#include <streambuf>

namespace nestcup::cli {

/// Writes what a std::ostream gives it to a descriptor that the caller keeps open. After the first
/// failure it takes nothing more.
class DescriptorOutput : public std::streambuf {
 public:
  explicit DescriptorOutput(int descriptor);
  ~DescriptorOutput() override;
  DescriptorOutput(const DescriptorOutput&) = delete;
  DescriptorOutput& operator=(const DescriptorOutput&) = delete;

  /// errno of the first write that failed; 0 while all went well.
  [[nodiscard]] int fault() const { return fault_; }

 protected:
  int_type overflow(int_type character) override;
  int sync() override;

 private:
  int descriptor_;
  int fault_ = 0;
  std::array<char, 16384> held_{};
};

}  // namespace nestcup::cli
