// Benches without their names.
#pragma once

#include "core/pool/collected.hpp"

namespace nestcup::pooled {

/// Gives benches letters for names, by the digest of their runs' ids: an order that says nothing,
/// that nobody who only knows the names can work out, and that stays the same for the same runs. A
/// bench has one letter under all its sheets. Runs are numbered anew, and words that people wrote
/// (reasons for striking out) and notes about names go. Done before anything is worked out, so that
/// nothing made of the benches can hold a name.
void take_names_away(Collected& collected);

}  // namespace nestcup::pooled
