// The main of every test program, for Catch2 v2 and v3.
#ifdef NESTCUP_CATCH2_V3
#include <catch2/catch_session.hpp>
int main(int argc, char** argv) { return Catch::Session().run(argc, argv); }
#else
#define CATCH_CONFIG_MAIN
#include <catch2/catch.hpp>
#endif
