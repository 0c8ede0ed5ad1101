// What a counted program went through goes to files of the program's own name. The counting's run
// time tells programs apart by the sizes of their counters alone, which are the same in programs
// that hold the same parts in another order: the second one's counts would be lost, with an error.
#include <errno.h>

#include <string>

// Of the counting's run time, in programs that hold counted parts.
extern "C" __attribute__((weak)) void __llvm_profile_set_filename(const char* pattern);

namespace {

[[gnu::constructor]] void name_own_counts() {
  if (!__llvm_profile_set_filename) return;
  // As many files a program as may run at once; each adds to one of them.
  const std::string pattern =
      std::string(NESTCUP_COUNTS) + "/" + program_invocation_short_name + "-%4m.profraw";
  __llvm_profile_set_filename(pattern.c_str());
}

}  // namespace
