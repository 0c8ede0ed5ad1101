#include "daemon/base/spare_memory.hpp"

#include <cstdlib>  // __GLIBC__
#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace nestcup::daemon {

void give_back_memory() {
#ifdef __GLIBC__
  malloc_trim(0);
#endif
}

}  // namespace nestcup::daemon
