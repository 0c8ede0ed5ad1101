#include "tools/doctor/check.hpp"

#include <fmt/format.h>

namespace nestcup::doctor {

std::string_view verdict_word(Verdict verdict) {
  switch (verdict) {
    case Verdict::ok:
      return "ok";
    case Verdict::note:
      return "note";
    case Verdict::trouble:
      return "trouble";
  }
  return "trouble";
}

std::string size_text(double bytes) {
  if (bytes >= 1e9) return fmt::format("{:.1f} GB", bytes * 1e-9);
  if (bytes >= 1e6) return fmt::format("{:.1f} MB", bytes * 1e-6);
  return fmt::format("{:.0f} kB", bytes * 1e-3);
}

std::string span_text(double seconds) {
  if (seconds >= 2.0 * 86'400.0) return fmt::format("{:.0f} days", seconds / 86'400.0);
  if (seconds >= 2.0 * 3600.0) return fmt::format("{:.0f} h", seconds / 3600.0);
  if (seconds >= 120.0) return fmt::format("{:.0f} min", seconds / 60.0);
  return fmt::format("{:.0f} s", seconds);
}

}  // namespace nestcup::doctor
