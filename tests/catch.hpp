// One include for Catch2 v2 and v3.
#pragma once

#ifdef NESTCUP_CATCH2_V3
#include <catch2/catch_all.hpp>
#else
#include <catch2/catch.hpp>
#endif

#ifdef NESTCUP_CATCH2_V3
using Catch::Approx;
using Catch::Matchers::ContainsSubstring;
#else
inline auto ContainsSubstring(const std::string& part) { return Catch::Matchers::Contains(part); }
#endif
using Catch::Matchers::StartsWith;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
