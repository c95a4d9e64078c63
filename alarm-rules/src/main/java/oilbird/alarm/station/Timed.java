package oilbird.alarm.station;

/** Something with a deadline of its own. */
sealed interface Timed
        permits Freshness,
                DoubtTrack,
                AlarmTrack,
                StandingTimer,
                StartUpHold,
                SharedLoss,
                FeatureTrack,
                DiagnosisTimer,
                FaultFindings {}
