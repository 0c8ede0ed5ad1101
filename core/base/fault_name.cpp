#include "core/base/fault_name.hpp"

#include <array>
#include <utility>

namespace nestcup {
namespace {

constexpr std::array<std::pair<Fault, std::string_view>, 9> names{{
    {Fault::usage, "usage"},
    {Fault::bad_data, "bad-data"},
    {Fault::no_input, "no-input"},
    {Fault::unavailable, "unavailable"},
    {Fault::cannot_create, "cannot-create"},
    {Fault::io, "io"},
    {Fault::try_later, "try-later"},
    {Fault::not_permitted, "not-permitted"},
    {Fault::bad_configuration, "bad-configuration"},
}};

}  // namespace

std::string_view fault_name(Fault kind) {
  for (const auto& [fault, name] : names) {
    if (fault == kind) return name;
  }
  return "io";
}

std::optional<Fault> fault_named(std::string_view name) {
  for (const auto& [fault, known] : names) {
    if (known == name) return fault;
  }
  return std::nullopt;
}

}  // namespace nestcup
