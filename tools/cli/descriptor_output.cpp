#include "tools/cli/descriptor_output.hpp"

#include <unistd.h>

#include <cerrno>

namespace nestcup::cli {

DescriptorOutput::DescriptorOutput(int descriptor) : descriptor_(descriptor) {
  setp(held_.data(), held_.data() + held_.size());
}

DescriptorOutput::~DescriptorOutput() {
  DescriptorOutput::sync();
}

DescriptorOutput::int_type DescriptorOutput::overflow(int_type character) {
  if (sync() != 0) return traits_type::eof();
  if (!traits_type::eq_int_type(character, traits_type::eof())) {
    sputc(traits_type::to_char_type(character));
  }
  return traits_type::not_eof(character);
}

int DescriptorOutput::sync() {
  const char* from = pbase();
  while (fault_ == 0 && from < pptr()) {
    const ssize_t written = ::write(descriptor_, from, static_cast<std::size_t>(pptr() - from));
    if (written >= 0) {
      from += written;
    } else if (errno != EINTR) {
      fault_ = errno;
    }
  }
  setp(held_.data(), held_.data() + held_.size());
  return fault_ == 0 ? 0 : -1;
}

}  // namespace nestcup::cli
