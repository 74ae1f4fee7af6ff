// Built without the workbench.
#include "server/assets.h"

namespace steerbench::server {

std::span<const Asset> Assets() { return {}; }

}  // namespace steerbench::server
