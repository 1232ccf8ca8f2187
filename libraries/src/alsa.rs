//! ALSA without being linked with it: every function that the `alsa` crate calls is here, as a jump to wherever the library has it once that
//! has been loaded. Linkers take these before those of a shared library, so that the program does not ask for one when it starts.

use std::ffi::{CStr, c_void};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicPtr, Ordering};

use crate::Missing;
use crate::library::{ALSA, said};

/// Finds the library and where it has its functions, once.
pub fn load() -> Result<(), Missing> {
    static LOADED: OnceLock<Result<(), Missing>> = OnceLock::new();
    LOADED
        .get_or_init(|| {
            let library = ALSA.load().ok_or_else(|| said(&[&ALSA]))?;
            for (name, place) in FUNCTIONS {
                // SAFETY: only the address is taken; who calls it has the types from the library's header.
                let found = unsafe { library.get::<*mut c_void>(name.to_bytes_with_nul()) };
                // One that an older library has not stays what it is.
                if let Ok(found) = found {
                    place.store(*found, Ordering::Release);
                }
            }
            Ok(())
        })
        .clone()
}

/// What is called in place of a function that is not there: no value that it could give back is right for all.
extern "C" fn absent() -> ! {
    eprintln!("firstjack: {} was called before it was loaded, or is too old", ALSA.file);
    std::process::abort();
}

macro_rules! functions {
    ($($name:ident)*) => {
        /// Where each of them is.
        #[expect(non_upper_case_globals, reason = "they have the names of functions")]
        mod places {
            use super::{AtomicPtr, absent, c_void};

            $(pub static $name: AtomicPtr<c_void> = AtomicPtr::new(absent as *mut c_void);)*
        }

        $(
            // Arguments and what comes back stay where they are.
            #[unsafe(naked)]
            #[unsafe(no_mangle)]
            extern "C" fn $name() {
                std::arch::naked_asm!("jmp qword ptr [rip + {}]", sym places::$name)
            }
        )*

        /// By their names.
        static FUNCTIONS: &[(&CStr, &AtomicPtr<c_void>)] = &[$((cstr(concat!(stringify!($name), "\0")), &places::$name)),*];
    };
}

const fn cstr(name: &'static str) -> &'static CStr {
    match CStr::from_bytes_with_nul(name.as_bytes()) {
        Ok(name) => name,
        Err(_) => panic!("a name has no end"),
    }
}

functions! {
    snd_card_get_index snd_card_get_longname snd_card_get_name snd_card_next snd_config_save snd_config_unref
    snd_config_update snd_config_update_free_global snd_config_update_ref snd_ctl_card_info snd_ctl_card_info_free
    snd_ctl_card_info_get_card snd_ctl_card_info_get_components snd_ctl_card_info_get_driver snd_ctl_card_info_get_id
    snd_ctl_card_info_get_longname snd_ctl_card_info_get_mixername snd_ctl_card_info_get_name snd_ctl_card_info_malloc
    snd_ctl_close snd_ctl_convert_from_dB snd_ctl_convert_to_dB snd_ctl_elem_id_get_device snd_ctl_elem_id_get_index
    snd_ctl_elem_id_get_interface snd_ctl_elem_id_get_name snd_ctl_elem_id_get_numid snd_ctl_elem_id_get_subdevice
    snd_ctl_elem_id_set_device snd_ctl_elem_id_set_index snd_ctl_elem_id_set_interface snd_ctl_elem_id_set_name
    snd_ctl_elem_id_set_numid snd_ctl_elem_id_set_subdevice snd_ctl_elem_id_sizeof snd_ctl_elem_info_free
    snd_ctl_elem_info_get_count snd_ctl_elem_info_get_type snd_ctl_elem_info_malloc snd_ctl_elem_list
    snd_ctl_elem_list_alloc_space snd_ctl_elem_list_free snd_ctl_elem_list_free_space snd_ctl_elem_list_get_count
    snd_ctl_elem_list_get_device snd_ctl_elem_list_get_id snd_ctl_elem_list_get_index snd_ctl_elem_list_get_interface
    snd_ctl_elem_list_get_name snd_ctl_elem_list_get_numid snd_ctl_elem_list_get_subdevice snd_ctl_elem_list_get_used
    snd_ctl_elem_list_malloc snd_ctl_elem_lock snd_ctl_elem_read snd_ctl_elem_set_bytes snd_ctl_elem_unlock
    snd_ctl_elem_value_clear snd_ctl_elem_value_free snd_ctl_elem_value_get_boolean snd_ctl_elem_value_get_byte
    snd_ctl_elem_value_get_bytes snd_ctl_elem_value_get_enumerated snd_ctl_elem_value_get_integer
    snd_ctl_elem_value_get_integer64 snd_ctl_elem_value_malloc snd_ctl_elem_value_set_boolean
    snd_ctl_elem_value_set_byte snd_ctl_elem_value_set_enumerated snd_ctl_elem_value_set_id
    snd_ctl_elem_value_set_integer snd_ctl_elem_value_set_integer64 snd_ctl_elem_write snd_ctl_event_elem_get_id
    snd_ctl_event_elem_get_mask snd_ctl_event_free snd_ctl_event_malloc snd_ctl_get_dB_range snd_ctl_open
    snd_ctl_pcm_info snd_ctl_pcm_next_device snd_ctl_poll_descriptors snd_ctl_poll_descriptors_count
    snd_ctl_poll_descriptors_revents snd_ctl_rawmidi_info snd_ctl_rawmidi_next_device snd_ctl_read
    snd_ctl_subscribe_events snd_ctl_wait snd_device_name_free_hint snd_device_name_get_hint snd_device_name_hint
    snd_hctl_close snd_hctl_elem_get_id snd_hctl_elem_info snd_hctl_elem_next snd_hctl_elem_read snd_hctl_elem_write
    snd_hctl_find_elem snd_hctl_first_elem snd_hctl_handle_events snd_hctl_load snd_hctl_open
    snd_hctl_poll_descriptors snd_hctl_poll_descriptors_count snd_hctl_poll_descriptors_revents snd_hctl_wait
    snd_lib_error_set_local snd_midi_event_decode snd_midi_event_encode snd_midi_event_free snd_midi_event_init
    snd_midi_event_new snd_midi_event_no_status snd_midi_event_reset_decode snd_midi_event_reset_encode
    snd_midi_event_resize_buffer snd_mixer_attach snd_mixer_close snd_mixer_elem_get_type snd_mixer_elem_next
    snd_mixer_find_selem snd_mixer_first_elem snd_mixer_handle_events snd_mixer_load snd_mixer_open
    snd_mixer_poll_descriptors snd_mixer_poll_descriptors_count snd_mixer_poll_descriptors_revents
    snd_mixer_selem_ask_capture_dB_vol snd_mixer_selem_ask_capture_vol_dB snd_mixer_selem_ask_playback_dB_vol
    snd_mixer_selem_ask_playback_vol_dB snd_mixer_selem_channel_name snd_mixer_selem_get_capture_dB_range
    snd_mixer_selem_get_capture_switch snd_mixer_selem_get_capture_volume snd_mixer_selem_get_capture_volume_range
    snd_mixer_selem_get_enum_item snd_mixer_selem_get_enum_item_name snd_mixer_selem_get_enum_items
    snd_mixer_selem_get_id snd_mixer_selem_get_playback_dB_range snd_mixer_selem_get_playback_switch
    snd_mixer_selem_get_playback_volume snd_mixer_selem_get_playback_volume_range snd_mixer_selem_has_capture_channel
    snd_mixer_selem_has_capture_switch snd_mixer_selem_has_capture_volume snd_mixer_selem_has_playback_channel
    snd_mixer_selem_has_playback_switch snd_mixer_selem_has_playback_volume snd_mixer_selem_id_get_index
    snd_mixer_selem_id_get_name snd_mixer_selem_id_set_index snd_mixer_selem_id_set_name snd_mixer_selem_id_sizeof
    snd_mixer_selem_is_capture_mono snd_mixer_selem_is_enum_capture snd_mixer_selem_is_enum_playback
    snd_mixer_selem_is_enumerated snd_mixer_selem_is_playback_mono snd_mixer_selem_register
    snd_mixer_selem_set_capture_dB snd_mixer_selem_set_capture_dB_all snd_mixer_selem_set_capture_switch
    snd_mixer_selem_set_capture_switch_all snd_mixer_selem_set_capture_volume snd_mixer_selem_set_capture_volume_all
    snd_mixer_selem_set_capture_volume_range snd_mixer_selem_set_enum_item snd_mixer_selem_set_playback_dB
    snd_mixer_selem_set_playback_dB_all snd_mixer_selem_set_playback_switch snd_mixer_selem_set_playback_switch_all
    snd_mixer_selem_set_playback_volume snd_mixer_selem_set_playback_volume_all
    snd_mixer_selem_set_playback_volume_range snd_mixer_wait snd_output_buffer_open snd_output_buffer_string
    snd_output_close snd_output_putc snd_output_puts snd_output_vprintf snd_pcm_avail snd_pcm_avail_delay
    snd_pcm_avail_update snd_pcm_bytes_to_frames snd_pcm_chmap_long_name snd_pcm_chmap_print snd_pcm_close
    snd_pcm_delay snd_pcm_drain snd_pcm_drop snd_pcm_dump snd_pcm_dump_hw_setup snd_pcm_dump_sw_setup
    snd_pcm_format_little_endian snd_pcm_format_physical_width snd_pcm_format_silence_16 snd_pcm_format_width
    snd_pcm_frames_to_bytes snd_pcm_free_chmaps snd_pcm_get_chmap snd_pcm_get_params snd_pcm_hw_params
    snd_pcm_hw_params_any snd_pcm_hw_params_can_pause snd_pcm_hw_params_can_resume snd_pcm_hw_params_copy
    snd_pcm_hw_params_current snd_pcm_hw_params_dump snd_pcm_hw_params_free snd_pcm_hw_params_get_access
    snd_pcm_hw_params_get_buffer_size snd_pcm_hw_params_get_buffer_size_max snd_pcm_hw_params_get_buffer_size_min
    snd_pcm_hw_params_get_buffer_time snd_pcm_hw_params_get_buffer_time_max snd_pcm_hw_params_get_buffer_time_min
    snd_pcm_hw_params_get_channels snd_pcm_hw_params_get_channels_max snd_pcm_hw_params_get_channels_min
    snd_pcm_hw_params_get_format snd_pcm_hw_params_get_period_size snd_pcm_hw_params_get_period_size_max
    snd_pcm_hw_params_get_period_size_min snd_pcm_hw_params_get_period_time snd_pcm_hw_params_get_period_time_max
    snd_pcm_hw_params_get_period_time_min snd_pcm_hw_params_get_periods snd_pcm_hw_params_get_periods_max
    snd_pcm_hw_params_get_periods_min snd_pcm_hw_params_get_rate snd_pcm_hw_params_get_rate_max
    snd_pcm_hw_params_get_rate_min snd_pcm_hw_params_get_rate_resample snd_pcm_hw_params_malloc
    snd_pcm_hw_params_set_access snd_pcm_hw_params_set_buffer_size snd_pcm_hw_params_set_buffer_size_max
    snd_pcm_hw_params_set_buffer_size_min snd_pcm_hw_params_set_buffer_size_near snd_pcm_hw_params_set_buffer_time
    snd_pcm_hw_params_set_buffer_time_max snd_pcm_hw_params_set_buffer_time_min snd_pcm_hw_params_set_buffer_time_near
    snd_pcm_hw_params_set_channels snd_pcm_hw_params_set_channels_near snd_pcm_hw_params_set_format
    snd_pcm_hw_params_set_period_size snd_pcm_hw_params_set_period_size_max snd_pcm_hw_params_set_period_size_min
    snd_pcm_hw_params_set_period_size_near snd_pcm_hw_params_set_period_time snd_pcm_hw_params_set_period_time_max
    snd_pcm_hw_params_set_period_time_min snd_pcm_hw_params_set_period_time_near snd_pcm_hw_params_set_periods
    snd_pcm_hw_params_set_periods_max snd_pcm_hw_params_set_periods_min snd_pcm_hw_params_set_periods_near
    snd_pcm_hw_params_set_rate snd_pcm_hw_params_set_rate_near snd_pcm_hw_params_set_rate_resample
    snd_pcm_hw_params_supports_audio_ts_type snd_pcm_hw_params_test_access snd_pcm_hw_params_test_channels
    snd_pcm_hw_params_test_format snd_pcm_hw_params_test_rate snd_pcm_info snd_pcm_info_free snd_pcm_info_get_card
    snd_pcm_info_get_device snd_pcm_info_get_id snd_pcm_info_get_name snd_pcm_info_get_stream
    snd_pcm_info_get_subdevice snd_pcm_info_get_subdevice_name snd_pcm_info_get_subdevices_avail
    snd_pcm_info_get_subdevices_count snd_pcm_info_malloc snd_pcm_info_set_device snd_pcm_info_set_stream
    snd_pcm_info_set_subdevice snd_pcm_link snd_pcm_open snd_pcm_pause snd_pcm_poll_descriptors
    snd_pcm_poll_descriptors_count snd_pcm_poll_descriptors_revents snd_pcm_prepare snd_pcm_query_chmaps snd_pcm_readi
    snd_pcm_recover snd_pcm_reset snd_pcm_resume snd_pcm_set_chmap snd_pcm_start snd_pcm_state snd_pcm_status
    snd_pcm_status_dump snd_pcm_status_get_audio_htstamp snd_pcm_status_get_avail snd_pcm_status_get_avail_max
    snd_pcm_status_get_delay snd_pcm_status_get_htstamp snd_pcm_status_get_overrange snd_pcm_status_get_state
    snd_pcm_status_get_trigger_htstamp snd_pcm_status_set_audio_htstamp_config snd_pcm_status_sizeof snd_pcm_sw_params
    snd_pcm_sw_params_current snd_pcm_sw_params_dump snd_pcm_sw_params_free snd_pcm_sw_params_get_avail_min
    snd_pcm_sw_params_get_boundary snd_pcm_sw_params_get_start_threshold snd_pcm_sw_params_get_stop_threshold
    snd_pcm_sw_params_get_tstamp_mode snd_pcm_sw_params_get_tstamp_type snd_pcm_sw_params_malloc
    snd_pcm_sw_params_set_avail_min snd_pcm_sw_params_set_start_threshold snd_pcm_sw_params_set_stop_threshold
    snd_pcm_sw_params_set_tstamp_mode snd_pcm_sw_params_set_tstamp_type snd_pcm_unlink snd_pcm_wait snd_pcm_writei
    snd_rawmidi_close snd_rawmidi_drain snd_rawmidi_drop snd_rawmidi_info snd_rawmidi_info_free
    snd_rawmidi_info_get_device snd_rawmidi_info_get_id snd_rawmidi_info_get_stream snd_rawmidi_info_get_subdevice
    snd_rawmidi_info_get_subdevice_name snd_rawmidi_info_get_subdevices_count snd_rawmidi_info_malloc
    snd_rawmidi_info_set_device snd_rawmidi_info_set_stream snd_rawmidi_info_set_subdevice snd_rawmidi_name
    snd_rawmidi_open snd_rawmidi_poll_descriptors snd_rawmidi_poll_descriptors_count
    snd_rawmidi_poll_descriptors_revents snd_rawmidi_read snd_rawmidi_status snd_rawmidi_status_free
    snd_rawmidi_status_get_avail snd_rawmidi_status_get_xruns snd_rawmidi_status_malloc snd_rawmidi_write
    snd_seq_alloc_named_queue snd_seq_alloc_queue snd_seq_client_id snd_seq_client_info_free
    snd_seq_client_info_get_card snd_seq_client_info_get_client snd_seq_client_info_get_name
    snd_seq_client_info_malloc snd_seq_client_info_set_client snd_seq_close snd_seq_control_queue snd_seq_create_port
    snd_seq_create_simple_port snd_seq_delete_port snd_seq_drain_output snd_seq_drop_input snd_seq_drop_output
    snd_seq_event_input snd_seq_event_input_pending snd_seq_event_output snd_seq_event_output_buffer
    snd_seq_event_output_direct snd_seq_free_queue snd_seq_get_any_client_info snd_seq_get_any_port_info
    snd_seq_get_queue_status snd_seq_get_queue_tempo snd_seq_open snd_seq_poll_descriptors
    snd_seq_poll_descriptors_count snd_seq_poll_descriptors_revents snd_seq_port_info_free
    snd_seq_port_info_get_capability snd_seq_port_info_get_client snd_seq_port_info_get_midi_channels
    snd_seq_port_info_get_midi_voices snd_seq_port_info_get_name snd_seq_port_info_get_port
    snd_seq_port_info_get_port_specified snd_seq_port_info_get_read_use snd_seq_port_info_get_synth_voices
    snd_seq_port_info_get_timestamp_queue snd_seq_port_info_get_timestamp_real snd_seq_port_info_get_timestamping
    snd_seq_port_info_get_type snd_seq_port_info_get_write_use snd_seq_port_info_malloc
    snd_seq_port_info_set_capability snd_seq_port_info_set_client snd_seq_port_info_set_midi_channels
    snd_seq_port_info_set_midi_voices snd_seq_port_info_set_name snd_seq_port_info_set_port
    snd_seq_port_info_set_port_specified snd_seq_port_info_set_synth_voices snd_seq_port_info_set_timestamp_queue
    snd_seq_port_info_set_timestamp_real snd_seq_port_info_set_timestamping snd_seq_port_info_set_type
    snd_seq_port_info_sizeof snd_seq_port_subscribe_free snd_seq_port_subscribe_get_dest
    snd_seq_port_subscribe_get_exclusive snd_seq_port_subscribe_get_queue snd_seq_port_subscribe_get_sender
    snd_seq_port_subscribe_get_time_real snd_seq_port_subscribe_get_time_update snd_seq_port_subscribe_malloc
    snd_seq_port_subscribe_set_dest snd_seq_port_subscribe_set_exclusive snd_seq_port_subscribe_set_queue
    snd_seq_port_subscribe_set_sender snd_seq_port_subscribe_set_time_real snd_seq_port_subscribe_set_time_update
    snd_seq_port_subscribe_sizeof snd_seq_query_next_client snd_seq_query_next_port snd_seq_query_port_subscribers
    snd_seq_query_subscribe_free snd_seq_query_subscribe_get_addr snd_seq_query_subscribe_get_exclusive
    snd_seq_query_subscribe_get_index snd_seq_query_subscribe_get_queue snd_seq_query_subscribe_get_time_real
    snd_seq_query_subscribe_get_time_update snd_seq_query_subscribe_malloc snd_seq_query_subscribe_set_index
    snd_seq_query_subscribe_set_root snd_seq_query_subscribe_set_type snd_seq_queue_status_free
    snd_seq_queue_status_get_events snd_seq_queue_status_get_queue snd_seq_queue_status_get_real_time
    snd_seq_queue_status_get_status snd_seq_queue_status_get_tick_time snd_seq_queue_status_malloc
    snd_seq_queue_status_sizeof snd_seq_queue_tempo_free snd_seq_queue_tempo_get_ppq snd_seq_queue_tempo_get_queue
    snd_seq_queue_tempo_get_skew snd_seq_queue_tempo_get_skew_base snd_seq_queue_tempo_get_tempo
    snd_seq_queue_tempo_malloc snd_seq_queue_tempo_set_ppq snd_seq_queue_tempo_set_skew
    snd_seq_queue_tempo_set_skew_base snd_seq_queue_tempo_set_tempo snd_seq_queue_tempo_sizeof snd_seq_remove_events
    snd_seq_remove_events_free snd_seq_remove_events_get_channel snd_seq_remove_events_get_condition
    snd_seq_remove_events_get_dest snd_seq_remove_events_get_event_type snd_seq_remove_events_get_queue
    snd_seq_remove_events_get_tag snd_seq_remove_events_get_time snd_seq_remove_events_malloc
    snd_seq_remove_events_set_channel snd_seq_remove_events_set_condition snd_seq_remove_events_set_dest
    snd_seq_remove_events_set_event_type snd_seq_remove_events_set_queue snd_seq_remove_events_set_tag
    snd_seq_remove_events_set_time snd_seq_set_client_event_filter snd_seq_set_client_name
    snd_seq_set_client_pool_input snd_seq_set_client_pool_output snd_seq_set_client_pool_output_room
    snd_seq_set_input_buffer_size snd_seq_set_port_info snd_seq_set_queue_tempo snd_seq_subscribe_port
    snd_seq_sync_output_queue snd_seq_unsubscribe_port
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_function_is_there_by_its_own_name() {
        assert!(FUNCTIONS.iter().all(|(name, _)| name.to_bytes().starts_with(b"snd_")));
        let places: std::collections::HashSet<_> =
            FUNCTIONS.iter().map(|(_, place)| place.as_ptr()).collect();
        assert_eq!(places.len(), FUNCTIONS.len());
    }
}
