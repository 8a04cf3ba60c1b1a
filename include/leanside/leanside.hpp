// SPDX-License-Identifier: Apache-2.0
/// All of the public headers.
#pragma once

#include "leanside/airflow.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/flammability.hpp"
#include "leanside/hazard.hpp"
#include "leanside/index.hpp"
#include "leanside/layer.hpp"
#include "leanside/purge.hpp"
#include "leanside/purge_replay.hpp"
#include "leanside/quantity.hpp"
#include "leanside/release.hpp"
#include "leanside/report.hpp"
#include "leanside/site.hpp"
#include "leanside/site_file.hpp"
#include "leanside/size.hpp"
#include "leanside/source.hpp"
#include "leanside/spread.hpp"
#include "leanside/study.hpp"
#include "leanside/substance.hpp"
#include "leanside/tracer.hpp"
#include "leanside/transport.hpp"
